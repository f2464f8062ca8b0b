package place

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestFolds(t *testing.T) {
	dir := t.TempDir()
	for f, name := range []string{"b1:volts", "b1:amps"} {
		m, err := NewModel([]string{name})
		if err != nil {
			t.Fatal(err)
		}
		w := make([]float64, m.Weights())
		w[1] = 2
		m.SetWeights(w)
		var b bytes.Buffer
		if err := m.Write(&b, []int{3}, 0.05); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, FoldFile(f, 2)), b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	models, err := Folds(dir)
	if err != nil || len(models) != 2 || models[0].Index.Names[0] != "b1:volts" ||
		models[1].Index.Names[0] != "b1:amps" {
		t.Errorf("%d models, %v", len(models), err)
	}
	if models, err = Folds(""); err != nil || len(models) != 1 || models[0] != Default() {
		t.Errorf("without a directory %d models, %v", len(models), err)
	}
	if _, err = Folds(t.TempDir()); err == nil || !strings.HasSuffix(err.Error(), "no weights of places") {
		t.Errorf("an empty directory: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, FoldFile(1, 2)), []byte("b1:amps\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err = Folds(dir); err == nil || !strings.Contains(err.Error(), FoldFile(1, 2)) {
		t.Errorf("a broken file: %v", err)
	}
}

package archive_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"saywatt/internal/archive"
	"saywatt/schema"
)

// A record is put in and found by a value in another unit.
func Example() {
	dir, err := os.MkdirTemp("", "archive")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	a, err := archive.Create(filepath.Join(dir, "reviews"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer a.Close()

	amps := schema.MustQuantity("2.5 A")
	at := schema.Seconds(20_000)
	r := &schema.Record{
		Version: schema.RecordVersion,
		Product: schema.Product{Kind: "charger", Name: "Fellwright Tarn"},
		Components: []schema.Component{{Kind: "fuse", Status: schema.StatusHeard, Ratings: []schema.Rating{
			{Property: "current", Value: schema.Value{Quantity: amps, Basis: schema.BasisLabel, Status: schema.StatusHeard, Said: []int{1}}}}}},
		Quantities: []schema.Said{{Number: 1, At: &at, Heard: "2.5 amps", Kind: schema.KindCurrent, Quantity: amps,
			Status: schema.StatusHeard}},
	}
	w, err := a.Begin()
	if err == nil {
		_, err = w.Add("tarn.vtt", r, "Ada", time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), false)
		err = errors.Join(err, w.Close())
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	found, err := a.Search(archive.Request{Query: "fuse 2500 mA"})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, h := range found.Hits {
		f := h.Matches[0].Fact
		fmt.Println(h.Review.Product, f.Label, f.Quantity, f.At.Clock())
	}
	_, err = a.Search(archive.Request{Query: "fuse >= 2500 mAmps"})
	fmt.Println(err)
	// Output:
	// Fellwright Tarn fuse current 2.5 A 0:20
	// query, at 14: "mAmps" is no unit; did you mean amps?
}

package archive
import ("testing";"time";"path/filepath")
func TestZZ(t *testing.T){
 a:=filled(t,200)
 for i:=range 40{ r:=generated(1000+i); s:=time.Now(); w:=begin(t,a); w.Add(r.Source.File,r,"A",day,false); w.Commit(); c:=time.Since(s); finish(t,w)
 seg,_:=filepath.Glob(filepath.Join(indexDir(a.dir),"*","*.zap"))
 t.Log(i,c,time.Since(s),len(seg)) }
}

package normalize
import ("testing";"fmt")
func TestZZ(t *testing.T){
	for _, c := range sentences {
		r := Ranker{}
		got, _ := r.Rank(read(t, c.text))
		for _,s:=range got { if s.Confidence>0.9 && s.Confidence<0.98 { fmt.Println(c.name,"|",s.Quantity,s.Status,s.Confidence,"| want",c.want) } }
	}
}

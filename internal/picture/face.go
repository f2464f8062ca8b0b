package picture

import (
	"fmt"
	"image"
	"image/color"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// fonts holds the two faces that pictures are written in: the program carries no
// others.
var fonts = sync.OnceValue(func() *font.Cache {
	var faces font.Collection
	for _, f := range []struct {
		weight xfont.Weight
		ttf    []byte
	}{{xfont.WeightNormal, liberationsansregular.TTF}, {xfont.WeightBold, liberationsansbold.TTF}} {
		face, err := opentype.Parse(f.ttf)
		if err != nil {
			panic(fmt.Sprintf("a face that the program carries: %v", err)) // a fault of the program
		}
		faces = append(faces, font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: f.weight},
			Face: face})
	}
	return font.NewCache(faces)
})

// nowhere is a canvas that draws nothing, to lay out on.
type nowhere struct{}

func (nowhere) SetLineWidth(vg.Length)                 {}
func (nowhere) SetLineDash([]vg.Length, vg.Length)     {}
func (nowhere) SetColor(color.Color)                   {}
func (nowhere) Rotate(float64)                         {}
func (nowhere) Translate(vg.Point)                     {}
func (nowhere) Scale(float64, float64)                 {}
func (nowhere) Push()                                  {}
func (nowhere) Pop()                                   {}
func (nowhere) Stroke(vg.Path)                         {}
func (nowhere) Fill(vg.Path)                           {}
func (nowhere) FillString(font.Face, vg.Point, string) {}
func (nowhere) DrawImage(vg.Rectangle, image.Image)    {}

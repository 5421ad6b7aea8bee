package demo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"sync"

	"golang.org/x/image/vector"
)

// Invented photos: scenes drawn by code, so that nobody's house is in them.

// picture is one of them as a phone would keep it.
type picture struct {
	data []byte
	w, h int
}

var pictures = sync.OnceValue(func() map[string]picture {
	out := map[string]picture{}
	for name, draw := range map[string]func() *scene{"strike gap": strikeGap, "fire label": fireLabel, "stair": stair, "carpet": carpet, "nail hole": nailHole} {
		s := draw()
		s.grain()
		var b bytes.Buffer
		if err := jpeg.Encode(&b, s.m, &jpeg.Options{Quality: 82}); err != nil {
			panic(err) // a picture of our own
		}
		out[name] = picture{b.Bytes(), s.m.Rect.Dx(), s.m.Rect.Dy()}
	}
	return out
})

// scene is a picture being painted, in its own pixels.
type scene struct{ m *image.RGBA }

type at [2]float64

var (
	wall    = color.RGBA{0xc9, 0xc6, 0xb8, 0xff}
	trimmed = color.RGBA{0xf1, 0xee, 0xe6, 0xff}
	shaded  = color.RGBA{0xd6, 0xd2, 0xc6, 0xff}
	slab    = color.RGBA{0xe3, 0xd2, 0xae, 0xff}
	oak     = color.RGBA{0xa8, 0x7b, 0x4c, 0xff}
	dark    = color.RGBA{0x3a, 0x35, 0x2f, 0xff}
	steel   = color.RGBA{0xb9, 0xbd, 0xbf, 0xff}
	pencil  = color.RGBA{0x52, 0x55, 0x58, 0xff}
)

func newScene(w, h int, back color.RGBA) *scene {
	s := &scene{image.NewRGBA(image.Rect(0, 0, w, h))}
	s.area(back, at{0, 0}, at{float64(w), 0}, at{float64(w), float64(h)}, at{0, float64(h)})
	return s
}

// area fills a polygon. Only the part of the picture it lies in is gone over.
func (s *scene) area(c color.RGBA, points ...at) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range points {
		x0, y0, x1, y1 = min(x0, p[0]), min(y0, p[1]), max(x1, p[0]), max(y1, p[1])
	}
	r := image.Rect(int(x0)-1, int(y0)-1, int(x1)+2, int(y1)+2).Intersect(s.m.Rect)
	if r.Empty() {
		return
	}
	z := vector.NewRasterizer(r.Dx(), r.Dy())
	for i, p := range points {
		x, y := float32(p[0]-float64(r.Min.X)), float32(p[1]-float64(r.Min.Y))
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(s.m, r, image.NewUniform(c), image.Point{})
}

func (s *scene) box(c color.RGBA, x, y, w, h float64) {
	s.area(c, at{x, y}, at{x + w, y}, at{x + w, y + h}, at{x, y + h})
}

// line is a stroke as wide as wide.
func (s *scene) line(c color.RGBA, from, to at, wide float64) {
	dx, dy := to[0]-from[0], to[1]-from[1]
	l := math.Hypot(dx, dy)
	nx, ny := -dy/l*wide/2, dx/l*wide/2
	s.area(c, at{from[0] + nx, from[1] + ny}, at{to[0] + nx, to[1] + ny}, at{to[0] - nx, to[1] - ny}, at{from[0] - nx, from[1] - ny})
}

// grain is a lens and a sensor: darker toward the corners, and never quite even.
func (s *scene) grain() {
	r := rand.New(rand.NewPCG(41, 1931))
	w, h := s.m.Rect.Dx(), s.m.Rect.Dy()
	for y := range h {
		for x := range w {
			fx, fy := float64(x)/float64(w)-0.55, float64(y)/float64(h)-0.4
			k := 1.04 - 0.42*(fx*fx+fy*fy) + (r.Float64()-0.5)*0.035
			p := s.m.Pix[y*s.m.Stride+x*4:]
			for i := range 3 {
				p[i] = uint8(min(255, float64(p[i])*k))
			}
		}
	}
}

// strikeGap is a slab against its strike jamb: tight at the head, wide at the foot, a steel
// rule held across.
func strikeGap() *scene {
	s := newScene(1200, 1600, trimmed)
	s.box(slab, 0, 0, 560, 1600)
	for y := 40.0; y < 1600; y += 74 { // the grain of the stile
		s.line(color.RGBA{0xd6, 0xc2, 0x9a, 0xff}, at{60, y}, at{470, y + 26}, 3)
	}
	s.area(dark, at{560, 0}, at{583, 0}, at{608, 1600}, at{560, 1600})
	s.area(shaded, at{583, 0}, at{760, 0}, at{770, 1600}, at{608, 1600})
	s.box(color.RGBA{0xe6, 0xe2, 0xd8, 0xff}, 770, 0, 26, 1600)
	s.box(wall, 1040, 0, 160, 1600)
	s.line(pencil, at{1040, 0}, at{1040, 1600}, 3)
	s.area(steel, at{330, 1010}, at{980, 980}, at{985, 1090}, at{335, 1120})
	for i := range 33 {
		x := 350 + float64(i)*19
		tall := 26.0
		if i%4 == 0 {
			tall = 46
		}
		y := 1010 - float64(i)*0.87
		s.line(dark, at{x, y}, at{x + 1, y + tall}, 3)
	}
	s.box(color.RGBA{0xc9, 0xa2, 0x4d, 0xff}, 588, 620, 60, 210) // the strike plate
	s.box(dark, 604, 670, 30, 110)
	return s
}

// fireLabel is the hinge edge of a rated slab with its label, upright.
func fireLabel() *scene {
	s := newScene(1200, 1600, wall)
	s.area(color.RGBA{0xb4, 0xb0, 0xa2, 0xff}, at{0, 0}, at{300, 0}, at{240, 1600}, at{0, 1600})
	s.area(slab, at{300, 0}, at{860, 0}, at{900, 1600}, at{240, 1600})
	s.area(color.RGBA{0xc8, 0xb4, 0x8c, 0xff}, at{860, 0}, at{1200, 60}, at{1200, 1600}, at{900, 1600})
	s.area(steel, at{420, 520}, at{760, 520}, at{770, 1120}, at{410, 1120})
	for i := range 7 {
		y := 590 + float64(i)*70
		s.line(pencil, at{460, y}, at{460 + 250 - float64(i%3)*60, y}, 14)
	}
	for _, p := range []at{{440, 545}, {740, 545}, {748, 1095}, {432, 1095}} {
		s.box(dark, p[0]-9, p[1]-9, 18, 18)
	}
	s.box(color.RGBA{0xc9, 0xa2, 0x4d, 0xff}, 470, 1270, 230, 330)
	for _, p := range []at{{530, 1340}, {640, 1400}, {530, 1470}} {
		s.box(dark, p[0], p[1], 26, 26)
	}
	return s
}

// stair is the attic door from below: top edges show.
func stair() *scene {
	s := newScene(1600, 1200, wall)
	s.area(shaded, at{0, 0}, at{1600, 0}, at{1180, 170}, at{420, 170})
	s.area(trimmed, at{500, 150}, at{1100, 150}, at{1080, 900}, at{520, 900})
	s.area(slab, at{560, 220}, at{1040, 220}, at{1026, 900}, at{574, 900})
	for _, y := range []float64{270, 560} {
		s.area(color.RGBA{0xcf, 0xbb, 0x90, 0xff}, at{640, y}, at{960, y}, at{952, y + 240}, at{648, y + 240})
		s.area(color.RGBA{0xea, 0xdb, 0xb8, 0xff}, at{662, y + 22}, at{938, y + 22}, at{932, y + 218}, at{668, y + 218})
	}
	s.box(color.RGBA{0xc9, 0xa2, 0x4d, 0xff}, 976, 560, 26, 60)
	for i := range 4 {
		d := float64(i)
		y := 900 + d*80
		x := 430 - d*95
		s.area(oak, at{x, y}, at{1600 - x, y}, at{1600 - x + 24, y + 26}, at{x - 24, y + 26})
		s.area(trimmed, at{x - 24, y + 26}, at{1600 - x + 24, y + 26}, at{1600 - x + 70, y + 80}, at{x - 70, y + 80})
	}
	s.line(color.RGBA{0xe2, 0x6a, 0x2c, 0xff}, at{1010, 172}, at{1092, 150}, 7) // the open joint at the head
	return s
}

// carpet is the step between pad and bare floor at a bedroom door.
func carpet() *scene {
	s := newScene(1600, 1200, color.RGBA{0x8f, 0x8a, 0x7b, 0xff})
	r := rand.New(rand.NewPCG(3, 4))
	for range 5200 {
		x, y := r.Float64()*1600, 560+r.Float64()*640
		s.line(color.RGBA{0x79, 0x74, 0x66, 0xff}, at{x, y}, at{x + 9, y - 11}, 3)
	}
	s.area(oak, at{0, 0}, at{1600, 0}, at{1600, 520}, at{0, 560})
	for x := 120.0; x < 1600; x += 210 {
		s.line(color.RGBA{0x84, 0x5d, 0x36, 0xff}, at{x, 0}, at{x - 60, 545}, 4)
	}
	s.area(dark, at{0, 556}, at{1600, 516}, at{1600, 548}, at{0, 592})
	s.area(trimmed, at{60, 0}, at{260, 0}, at{236, 500}, at{70, 505})
	s.area(steel, at{900, 330}, at{980, 330}, at{980, 760}, at{900, 760})
	for i := range 21 {
		wide := 24.0
		if i%4 == 0 {
			wide = 44
		}
		y := 345 + float64(i)*20
		s.line(dark, at{900, y}, at{900 + wide, y}, 3)
	}
	return s
}

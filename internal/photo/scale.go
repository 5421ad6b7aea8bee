package photo

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
)

// fit makes a picture that is at most side long, on white where it is transparent, and
// turned upright. A picture that is smaller keeps its size.
//
// Whole factors are averaged, strip by strip, and what is left of the factor, less than
// two, is interpolated: the library's better filters keep 32 bytes for each pixel of the
// width wanted times the height given, 200 MB for one photo of 12 megapixels.
func fit(src image.Image, side, orientation int) *image.RGBA {
	b := src.Bounds()
	long := max(b.Dx(), b.Dy())
	if n := long / side; n > 1 {
		src = reduce(src, n)
		b = src.Bounds()
		long = max(b.Dx(), b.Dy())
	}
	w, h := b.Dx(), b.Dy()
	if long > side {
		w, h = max(1, (w*side+long/2)/long), max(1, (h*side+long/2)/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	if w == b.Dx() && h == b.Dy() {
		draw.Draw(out, out.Bounds(), src, b.Min, draw.Over)
	} else {
		draw.ApproxBiLinear.Scale(out, out.Bounds(), src, b, draw.Over, nil)
	}
	return turn(out, orientation)
}

// reduce averages squares of n by n pixels; what does not fill a last square is left off.
func reduce(src image.Image, n int) *image.RGBA {
	b := src.Bounds()
	w, h := max(1, b.Dx()/n), max(1, b.Dy()/n)
	wide, high := min(n, b.Dx()), min(n, b.Dy()) // of one square, where a side is under n
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	strip := image.NewRGBA(image.Rect(0, 0, b.Dx(), high))
	sums := make([][3]int, w)
	area := wide * high
	for y := range h {
		draw.Draw(strip, strip.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
		draw.Draw(strip, strip.Bounds(), src, image.Pt(b.Min.X, b.Min.Y+y*n), draw.Over)
		clear(sums)
		for row := range high {
			line := strip.Pix[row*strip.Stride:]
			for x := range w {
				s := &sums[x]
				for _, p := 0, x*n*4; p < (x*n+wide)*4; p += 4 {
					s[0] += int(line[p])
					s[1] += int(line[p+1])
					s[2] += int(line[p+2])
				}
			}
		}
		line := out.Pix[y*out.Stride:]
		for x, s := range sums {
			line[x*4], line[x*4+1], line[x*4+2], line[x*4+3] = uint8((s[0]+area/2)/area), uint8((s[1]+area/2)/area), uint8((s[2]+area/2)/area), 0xff
		}
	}
	return out
}

// turn makes upright what was stored in one of EXIF's eight orientations: the value says
// where the stored picture's first row and first column are to be seen (CIPA DC-008 §4.6.4).
func turn(src *image.RGBA, orientation int) *image.RGBA {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	var from func(x, y int) (int, int) // stored place of a place seen
	switch orientation {
	case 2: // first row top, first column right
		from = func(x, y int) (int, int) { return w - 1 - x, y }
	case 3: // bottom, right
		from = func(x, y int) (int, int) { return w - 1 - x, h - 1 - y }
	case 4: // bottom, left
		from = func(x, y int) (int, int) { return x, h - 1 - y }
	case 5: // left, top
		from = func(x, y int) (int, int) { return y, x }
	case 6: // right, top
		from = func(x, y int) (int, int) { return y, h - 1 - x }
	case 7: // right, bottom
		from = func(x, y int) (int, int) { return w - 1 - y, h - 1 - x }
	case 8: // left, bottom
		from = func(x, y int) (int, int) { return w - 1 - y, x }
	default:
		return src
	}
	seen := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		seen = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(seen)
	for y := range seen.Dy() {
		for x := range seen.Dx() {
			sx, sy := from(x, y)
			copy(out.Pix[y*out.Stride+x*4:][:4], src.Pix[sy*src.Stride+sx*4:][:4])
		}
	}
	return out
}

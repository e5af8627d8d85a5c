package draw

import (
	"bytes"
	"image/png"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

// A reader that is not ours (ZXing in Go) finds the address in the picture of the page, at the resolution of a phone's camera at
// arm's length and at half of it.
func TestCodeIsRead(t *testing.T) {
	for _, server := range []string{"http://10.0.0.5:8080", "https://" + strings.Repeat("a", 80) + ".example"} {
		d, err := sheet.Truck(sheettest.Plan(), "T1", sheet.Options{Server: server, Only: []sheet.Part{sheet.Stops}, Property: "P-02"})
		if err != nil {
			t.Fatal(err)
		}
		for _, dpi := range []float64{150, 75} {
			var b bytes.Buffer
			if err := PNG(&b, d, 1, dpi); err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			bits, err := gozxing.NewBinaryBitmapFromImage(img)
			if err != nil {
				t.Fatal(err)
			}
			got, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
			if err != nil {
				t.Errorf("%s at %v dpi: %v", server, dpi, err)
				continue
			}
			if want := server + "/plan/3f2a9c41/truck/1/stop/2"; got.GetText() != want {
				t.Errorf("read %q, want %q", got.GetText(), want)
			}
		}
	}
}

func TestCodeTooLong(t *testing.T) {
	d, err := sheet.Truck(sheettest.Plan(), "T1", sheet.Options{Server: "http://" + strings.Repeat("x", 5000)})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Layout(d); err == nil {
		t.Error("a code of 5,000 characters is drawn without an error")
	}
}

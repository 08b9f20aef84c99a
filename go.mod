module coldbatch

go 1.26.0

require (
	codeberg.org/go-pdf/fpdf v0.12.0
	github.com/andybalholm/brotli v1.2.8
	github.com/arran4/golang-ical v0.3.4
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/evanw/esbuild v0.28.2
	github.com/gorilla/mux v1.8.1
	github.com/lucasb-eyer/go-colorful v1.4.1
	github.com/makiuchi-d/gozxing v0.1.1
	github.com/pion/mdns/v2 v2.2.2
	github.com/rogpeppe/go-internal v1.16.0
	github.com/skip2/go-qrcode v0.0.0-20200617195104-da1b6568686e
	go.etcd.io/bbolt v1.5.0
	golang.org/x/image v0.40.0
	golang.org/x/net v0.53.0
	golang.org/x/time v0.16.0
	howett.net/plist v1.0.1
	pgregory.net/rapid v1.3.0
)

require (
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/pion/logging v0.2.4 // indirect
	golang.org/x/sys v0.45.0 // indirect
	golang.org/x/text v0.37.0 // indirect
	golang.org/x/tools v0.44.0 // indirect
	golang.org/x/xerrors v0.0.0-20200804184101-5ec99f83aff1 // indirect
)

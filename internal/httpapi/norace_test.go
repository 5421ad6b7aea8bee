//go:build !race

package httpapi_test

const raceDetector = 0

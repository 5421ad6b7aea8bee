//go:build race

package httpapi_test

// raceDetector is 1 with the race detector: times mean nothing then.
const raceDetector = 1

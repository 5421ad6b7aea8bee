//go:build !race

package model

const raceDetector = 0

// Command print writes the big job's log as JSON, for measurements outside Go.
package main

import (
	"encoding/json"
	"fmt"
	"os"

	"longpoint/internal/joblog/bigjob"
)

func main() {
	log, err := bigjob.Log(bigjob.Openings, bigjob.Rooms)
	if err == nil {
		err = json.NewEncoder(os.Stdout).Encode(map[string]any{"now": bigjob.Now, "entries": log})
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "print: "+err.Error())
		os.Exit(1)
	}
}

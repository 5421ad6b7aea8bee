package stock

import (
	"fmt"
	"os"
)

func debug(a ...any) {
	if os.Getenv("SDEBUG") != "" {
		fmt.Println(a...)
	}
}

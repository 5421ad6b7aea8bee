package pglocal

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

// BinEnv names the directory of PostgreSQL's server programs; set, it is the only place looked in.
const BinEnv = "LONGPOINT_PG_BIN"

// FindBinaries looks for a directory with initdb and postgres: the one named by LONGPOINT_PG_BIN, else
// pg_config's, else the newest under /usr/lib/postgresql (where Debian keeps them, outside PATH), else PATH's.
func FindBinaries() (dir string, major int, err error) {
	if dir := os.Getenv(BinEnv); dir != "" {
		major, err := inspectBinaries(dir)
		return dir, major, err
	}
	for _, dir := range candidates() {
		if major, err := inspectBinaries(dir); err == nil {
			return dir, major, nil
		}
	}
	return "", 0, &Error{
		Code: NoBinaries,
		Sentence: "No PostgreSQL server programs were found: install them (on Debian or Ubuntu, apt-get install postgresql) " +
			"or set " + BinEnv + " to the directory that holds initdb and postgres.",
	}
}

func candidates() []string {
	var dirs []string
	if out, err := exec.Command("pg_config", "--bindir").Output(); err == nil {
		dirs = append(dirs, strings.TrimSpace(string(out)))
	}
	newest := 0
	var debian string
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin") // the pattern is well formed
	for _, dir := range found {
		if major, err := inspectBinaries(dir); err == nil && major > newest {
			newest, debian = major, dir
		}
	}
	if debian != "" {
		dirs = append(dirs, debian)
	}
	if path, err := exec.LookPath("initdb"); err == nil {
		if path, err = filepath.EvalSymlinks(path); err == nil {
			dirs = append(dirs, filepath.Dir(path))
		}
	}
	return dirs
}

var versionLine = regexp.MustCompile(`^postgres \(PostgreSQL\) (\d+)`)

// inspectBinaries returns the major version of the server programs in dir, or says what is missing there.
func inspectBinaries(dir string) (int, error) {
	for _, name := range []string{"initdb", "postgres"} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.IsDir() || info.Mode()&0o111 == 0 {
			return 0, &Error{
				Code: NoBinaries,
				Sentence: fmt.Sprintf("%s has no %s to run: install PostgreSQL's server programs (on Debian or Ubuntu, "+
					"apt-get install postgresql) or set %s to the directory that holds initdb and postgres.", dir, name, BinEnv),
				Cause: err,
			}
		}
	}
	out, err := exec.Command(filepath.Join(dir, "postgres"), "--version").Output()
	if err == nil {
		if m := versionLine.FindSubmatch(out); m != nil {
			return strconv.Atoi(string(m[1]))
		}
	}
	return 0, &Error{
		Code: NoBinaries,
		Sentence: fmt.Sprintf("%s does not tell its version (it said %q): set %s to the bin directory of a working PostgreSQL.",
			filepath.Join(dir, "postgres"), strings.TrimSpace(string(out)), BinEnv),
		Cause: err,
	}
}

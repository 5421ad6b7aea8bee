package main

import (
	"context"
	"fmt"

	"longpoint/internal/app"
	"longpoint/internal/backup"
)

const backupHelp = `
A backup is a folder named after its time, with every table and every photo in it and a SHA256SUMS that
sha256sum -c reads. It holds names, addresses and hashes of passphrases: keep it as you keep the database.`

func makeBackup(ctx context.Context, c *call) error {
	try := c.Bool("try", false, "restore it into a database of its own on the same server and compare, before older ones go")
	days := c.Int("days", 7, "keep the newest backup of each of the last `n` days; 0 of all three keeps everything")
	weeks := c.Int("weeks", 5, "and of each of the last `n` weeks")
	months := c.Int("months", 12, "and of each of the last `n` months")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	if *days < 0 || *weeks < 0 || *months < 0 {
		return misused("Backups are kept for 0 or more days, weeks and months.")
	}
	rep, err := app.Backup(ctx, app.BackupConfig{OwnerURL: c.owner(), Photos: c.photos(), Dir: c.setting("LONGPOINT_BACKUP_DIR"),
		Keep: backup.Retention{Days: *days, Weeks: *weeks, Months: *months}, Try: *try})
	if rep.Folder != "" {
		fmt.Fprintf(c.out, "%s: schema %d, %d tables, %d rows, %d photos.\n", rep.Folder, rep.Manifest.Schema, len(rep.Manifest.Tables), rep.Manifest.Rows(), rep.Manifest.Photos)
	}
	if rep.Tried {
		fmt.Fprintln(c.out, "It was restored into a database of its own: every row the same, no difference from the log.")
	}
	for _, name := range rep.Gone {
		fmt.Fprintf(c.out, "%s was taken away.\n", name)
	}
	return err
}

func restore(ctx context.Context, c *call) error {
	try := c.Bool("try", false, "only try it: into a database of its own on the same server, which is then taken away")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if *try {
		folder, err := app.BackupFolder(c.setting("LONGPOINT_BACKUP_DIR"), c.args[0])
		if err == nil {
			err = app.TryBackup(ctx, c.owner(), folder)
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(c.out, "%s can be restored: every row the same, no difference from the log.\n", folder)
		return nil
	}
	m, err := app.Restore(ctx, c.owner(), c.photos(), c.setting("LONGPOINT_BACKUP_DIR"), c.args[0])
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, "The backup of %s is restored: %d tables, %d rows and %d photos, each compared with what was written down.\n",
		m.MadeAt.Format("2006-01-02 15:04 UTC"), len(m.Tables), m.Rows(), m.Photos)
	return nil
}

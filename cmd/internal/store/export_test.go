package store

// Break makes the file's disk fail: writes after n bytes, and flushing and cutting off when told so.
func Break(f *File, n int, sync, truncate error, write error) {
	f.f = &failing{disk: f.f, room: n, write: write, sync: sync, truncate: truncate}
}

// Mend takes Break back.
func Mend(f *File) { f.f = f.f.(*failing).disk }

type failing struct {
	disk
	room                  int
	write, sync, truncate error
}

func (d *failing) Write(p []byte) (int, error) {
	if d.write != nil && len(p) > d.room {
		n, _ := d.disk.Write(p[:d.room])
		return n, d.write
	}
	return d.disk.Write(p)
}

func (d *failing) Sync() error {
	if d.sync != nil {
		return d.sync
	}
	return d.disk.Sync()
}

func (d *failing) Truncate(size int64) error {
	if d.truncate != nil {
		return d.truncate
	}
	return d.disk.Truncate(size)
}

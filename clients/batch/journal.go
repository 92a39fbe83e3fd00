package batch

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"slipfit.example/clients/lines"
)

// checkpoint is how far a run has come: through the line of that number, whose
// running checksum over all lines up to it is Sum, and through Output bytes.
type checkpoint struct {
	Through int64  `json:"through"`
	Sum     uint64 `json:"sum,string"`
	Output  int64  `json:"output"`
	Tally   Tally  `json:"tally"`
}

// head is the journal's first record.
type head struct {
	Journal  int    `json:"journal"` // version of the form
	Identity string `json:"identity"`
}

// disk is what the journal needs of a file system.
type disk interface {
	open(name string) (file, error) // for reading and writing, made if absent
	rename(from, to string) error
	remove(name string) error
	exists(name string) (bool, error)
	syncFolder(name string) error
}

type file interface {
	io.ReadWriteSeeker
	io.Closer
	Truncate(int64) error
	Sync() error
}

type realDisk struct{}

func (realDisk) open(name string) (file, error) {
	return os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
}
func (realDisk) rename(from, to string) error { return os.Rename(from, to) }
func (realDisk) remove(name string) error     { return os.Remove(name) }

func (realDisk) exists(name string) (bool, error) {
	_, err := os.Stat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

func (realDisk) syncFolder(name string) error {
	d, err := os.Open(filepath.Dir(name))
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// journal is the output that is being written, and the record of how far it is good.
type journal struct {
	disk   disk
	name   string
	coding lines.Coding
	out    file
	log    file
	at     checkpoint
}

func (j *journal) part() string { return j.name + ".part" }
func (j *journal) book() string { return j.name + ".journal" }

// openJournal begins an output, or goes on with one that was begun.
func openJournal(d disk, name, identity string) (*journal, error) {
	j := &journal{disk: d, name: name, coding: lines.CodingOf(name)}
	whole, err := d.exists(name)
	if err != nil {
		return nil, inWords(name, err)
	}
	begun, err := d.exists(j.book())
	if err != nil {
		return nil, inWords(j.book(), err)
	}
	if whole {
		half, err := d.exists(j.part())
		if err != nil {
			return nil, inWords(j.part(), err)
		}
		if begun && !half {
			// The run before ended between renaming and removing.
			if err := d.remove(j.book()); err != nil {
				return nil, inWords(j.book(), err)
			}
			return nil, fmt.Errorf("%s: %w", name, ErrDone)
		}
		return nil, fmt.Errorf("%s exists: %w; remove it to have it made anew", name, ErrDone)
	}
	if err := j.openFiles(identity); err != nil {
		j.close()
		return nil, err
	}
	return j, nil
}

func (j *journal) openFiles(identity string) (err error) {
	if j.log, err = j.disk.open(j.book()); err != nil {
		return inWords(j.book(), err)
	}
	good, err := j.read(identity)
	if err != nil {
		return err
	}
	if j.out, err = j.disk.open(j.part()); err != nil {
		return inWords(j.part(), err)
	}
	// What was written behind the last record is half a chunk, or one whose record was
	// lost: it will be made again.
	for _, f := range []struct {
		file file
		size int64
		name string
	}{{j.out, j.at.Output, j.part()}, {j.log, good, j.book()}} {
		end, err := f.file.Seek(0, io.SeekEnd)
		if err != nil {
			return inWords(f.name, err)
		}
		if end < f.size {
			return fmt.Errorf("%s is shorter than %s says; remove both to begin anew", f.name, j.book())
		}
		if err := f.file.Truncate(f.size); err != nil {
			return inWords(f.name, err)
		}
		if _, err := f.file.Seek(f.size, io.SeekStart); err != nil {
			return inWords(f.name, err)
		}
	}
	if good > 0 {
		return nil
	}
	if err := j.append(head{1, identity}); err != nil {
		return err
	}
	return inWords(j.name, j.disk.syncFolder(j.name))
}

// read gives the last whole record, and where it ends. A record that is torn or
// wrong ends the journal: everything behind it was never promised.
func (j *journal) read(identity string) (good int64, err error) {
	r := bufio.NewReader(j.log)
	for first := true; ; first = false {
		line, err := r.ReadString('\n')
		if errors.Is(err, io.EOF) {
			return good, nil
		}
		if err != nil {
			return 0, inWords(j.book(), err)
		}
		record, ok := unsealed(line)
		if !ok {
			return good, nil
		}
		if first {
			var h head
			if json.Unmarshal([]byte(record), &h) != nil || h.Journal != 1 {
				return 0, fmt.Errorf("%s is no journal of this program; remove it to begin anew", j.book())
			}
			if h.Identity != identity {
				return 0, fmt.Errorf("%s was begun with other rules, flags or another input; run the same command, or remove it and %s to begin anew", j.name, j.part())
			}
		} else {
			var at checkpoint
			if json.Unmarshal([]byte(record), &at) != nil {
				return good, nil
			}
			j.at = at
		}
		good += int64(len(line))
	}
}

// sealed puts a checksum behind a record, so that a torn one shows.
func sealed(record []byte) []byte {
	return fmt.Appendf(nil, "%s %08x\n", record, crc32.ChecksumIEEE(record))
}

func unsealed(line string) (string, bool) {
	record, sum, ok := cutLast(strings.TrimSuffix(line, "\n"), " ")
	return record, ok && sum == fmt.Sprintf("%08x", crc32.ChecksumIEEE([]byte(record)))
}

func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

func (j *journal) append(record any) error {
	encoded, err := json.Marshal(record)
	if err != nil {
		return err
	}
	if _, err := j.log.Write(sealed(encoded)); err != nil {
		return inWords(j.book(), err)
	}
	return inWords(j.book(), j.log.Sync())
}

// commit writes one chunk's answers and records that they are written.
func (j *journal) commit(output []byte, at checkpoint) error {
	member, err := lines.Member(j.coding, output)
	if err != nil {
		return err
	}
	if _, err := j.out.Write(member); err != nil {
		return inWords(j.part(), err)
	}
	if err := j.out.Sync(); err != nil {
		return inWords(j.part(), err)
	}
	at.Output = j.at.Output + int64(len(member))
	if err := j.append(at); err != nil {
		return err
	}
	j.at = at
	return nil
}

// finish makes the output whole.
func (j *journal) finish() error {
	if err := errors.Join(j.out.Sync(), j.disk.rename(j.part(), j.name), j.disk.syncFolder(j.name)); err != nil {
		return inWords(j.name, err)
	}
	return inWords(j.book(), j.disk.remove(j.book()))
}

func (j *journal) close() {
	for _, f := range []file{j.out, j.log} {
		if f != nil {
			_ = f.Close()
		}
	}
}

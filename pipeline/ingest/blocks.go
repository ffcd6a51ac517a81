package ingest

import (
	"bytes"
	"io"
	"runtime"
	"slices"
	"strings"
)

// blockBytes is the size of a block: large enough that handing it on costs nothing,
// small enough that some of them, cells and all, stay in the processor's cache.
const blockBytes = 128 << 10

// blocks reads a file's rows one after another, as records does, with the text read
// and divided into rows ahead, on all cores. From a flaw on, records goes on alone:
// it knows what to say of it and where to go on. Where blocks end depends on the
// text and not on the cores, and so does nothing of what is said.
type blocks struct {
	comma    byte
	splitter splitter
	work     chan *block
	ordered  chan *block
	free     chan *block
	quit     chan struct{}
	tally    *tally // of the text; nil where nobody follows the bytes
	tick     func(n int)

	now  *block
	row  int // of it, that comes next
	rest *records
	err  error // io.EOF once all rows were given
}

// newBlocks begins to read, so much at a time, and has each block filled by a filler of
// its own, where there is one. The caller has to close it.
func newBlocks(text io.Reader, comma byte, size int, t *tally, newFiller func() filler) *blocks {
	workers := runtime.GOMAXPROCS(0)
	ahead := workers + 2
	b := &blocks{
		comma: comma, splitter: splitter{src: text, size: size, line: 1}, tally: t,
		work: make(chan *block, ahead), ordered: make(chan *block, ahead), free: make(chan *block, ahead), quit: make(chan struct{}),
	}
	if t != nil && t.tick != nil { // it is told while rows are read, and not ahead of them
		b.tick, t.tick = t.tick, func(n int) { b.splitter.read += n }
	}
	for range ahead {
		b.free <- &block{lexed: make(chan struct{}, 1), newFiller: newFiller}
	}
	for range workers {
		go func() {
			for one := range b.work {
				one.lex(comma)
				one.fill()
				one.lexed <- struct{}{}
			}
		}()
	}
	go b.split()
	return b
}

// split hands blocks on, to be lexed and, in their order, to be read.
func (b *blocks) split() {
	defer close(b.ordered)
	defer close(b.work)
	for {
		select {
		case <-b.quit:
			return
		case one := <-b.free:
			if !b.splitter.next(one) {
				return
			}
			b.work <- one // there is room for all blocks there are
			b.ordered <- one
		}
	}
}

// next returns the cells of the next row and the line it starts on, as records does.
func (b *blocks) next() (cells []string, line int64, f *flaw, err error) {
	for b.rest == nil {
		if b.err != nil {
			return nil, 0, nil, b.err
		}
		if b.now != nil && b.row < len(b.now.rows) {
			from := 0
			if b.row > 0 {
				from = b.now.rows[b.row-1].end
			}
			row := b.now.rows[b.row]
			b.row++
			return b.now.cells[from:row.end:row.end], row.line, nil, nil
		}
		b.advance()
	}
	return b.rest.next()
}

// filled returns what the last row was filled by, and its number there.
func (b *blocks) filled() (filler, int) {
	if b.now == nil || b.rest != nil {
		return nil, 0
	}
	return b.now.filler, b.row - 1
}

// advance turns to the next block, or to what is left of the file where that is no
// block.
func (b *blocks) advance() {
	if b.now != nil && b.now.flawed {
		b.alone(b.now.text[b.now.whole:], b.now.wholeLine)
		return
	}
	if b.now != nil {
		b.free <- b.now
		b.now = nil
	}
	one, ok := <-b.ordered
	switch {
	case ok:
		<-one.lexed
		b.ticked(&one.read)
		b.now, b.row = one, 0
	case b.splitter.err == io.EOF && len(b.splitter.rest) == 0:
		b.err = io.EOF
	default:
		b.alone("", b.splitter.line)
	}
}

// alone goes on with records, which takes the text that no row was made of: the given
// one, that of the blocks after it, and the rest of the file.
func (b *blocks) alone(text string, line int64) {
	parts := []io.Reader{strings.NewReader(text)}
	for _, one := range b.stop() {
		parts = append(parts, strings.NewReader(one.text))
	}
	parts = append(parts, bytes.NewReader(b.splitter.rest))
	if b.splitter.err != nil {
		parts = append(parts, failing{b.splitter.err})
	} else {
		parts = append(parts, b.splitter.src)
	}
	b.now, b.rest = nil, newRecords(io.MultiReader(parts...), rune(b.comma))
	b.rest.guard.line = line
	b.rest.restart()
}

// failing is a reader of nothing but an error.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// stop ends the reading ahead, and returns the blocks that were not read.
func (b *blocks) stop() (ahead []*block) {
	select {
	case <-b.quit:
	default:
		close(b.quit)
	}
	for one := range b.ordered {
		<-one.lexed
		b.ticked(&one.read)
		ahead = append(ahead, one)
	}
	b.ticked(&b.splitter.read)
	if b.tick != nil {
		b.tally.tick = b.tick
	}
	return ahead
}

// ticked tells of bytes that were read.
func (b *blocks) ticked(n *int) {
	if b.tick != nil && *n > 0 {
		b.tick(*n)
	}
	*n = 0
}

// close ends the reading ahead.
func (b *blocks) close() { b.stop() }

// splitter divides a text into blocks that end where rows do.
type splitter struct {
	src  io.Reader
	size int    // of a block, at least
	line int64  // of rest
	rest []byte // that was read and is in no block; a carriage return at its end may be half of a line end
	from int    // of rest, where line ends may not be as they should
	read int    // bytes from the disk since the last block
	err  error  // of src
}

// next fills a block; false at the end, after an error of the source, and before a row
// that is longer than any should be, which is left in rest.
func (s *splitter) next(b *block) bool {
	for s.err == nil {
		if s.err = s.fill(); s.err != nil && s.err != io.EOF {
			return false
		}
		end := s.lastRow()
		if end == 0 && len(s.rest) > maxRecord {
			return false
		}
		if end == 0 {
			continue
		}
		b.text, b.line, b.read = string(s.rest[:end]), s.line, s.read
		s.line += int64(bytes.Count(s.rest[:end], []byte{'\n'}))
		s.rest, s.read = s.rest[:copy(s.rest, s.rest[end:])], 0
		s.from -= end
		return true
	}
	return false
}

// fill reads some more.
func (s *splitter) fill() error {
	old := len(s.rest)
	s.rest = slices.Grow(s.rest, s.size)
	n, err := s.src.Read(s.rest[old : old+s.size])
	s.rest = s.rest[:old+n]
	s.lineEnds(err != nil)
	return err
}

// lineEnds makes newlines of carriage returns that stand alone, as guard does, up to a
// last one whose next byte is not known.
func (s *splitter) lineEnds(atEnd bool) {
	for s.from < len(s.rest) {
		i := bytes.IndexByte(s.rest[s.from:], '\r')
		if i < 0 {
			s.from = len(s.rest)
			return
		}
		s.from += i
		switch {
		case s.from+1 < len(s.rest) && s.rest[s.from+1] == '\n':
		case s.from+1 == len(s.rest) && !atEnd:
			return
		default:
			s.rest[s.from] = '\n'
		}
		s.from++
	}
}

// lastRow is the end of the last row that is whole; at the end of the file, of all. A
// line end ends a row where the quotes before it are even. They are not where a quote
// breaks the rules, and then the block before is flawed and no later one is read.
func (s *splitter) lastRow() int {
	if s.err == io.EOF {
		return len(s.rest)
	}
	text := s.rest[:s.from]
	open := bytes.Count(text, []byte{'"'})%2 == 1
	for end := len(text); ; {
		i := bytes.LastIndexByte(text[:end], '\n')
		if bytes.Count(text[i+1:end], []byte{'"'})%2 == 1 {
			open = !open
		}
		if i < 0 || !open {
			return i + 1
		}
		end = i
	}
}

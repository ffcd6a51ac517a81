package archive

import (
	"bytes"
	"context"

	"github.com/apache/thrift/lib/go/thrift"
)

// headerWriter writes a page's header in the compact protocol of Thrift, and keeps the
// first error.
type headerWriter struct {
	ctx              context.Context
	memory           *thrift.TMemoryBuffer
	out              thrift.TProtocol
	to               *bytes.Buffer
	unpacked, packed int
	err              error
}

func newHeaderWriter(to *bytes.Buffer, unpacked, packed int) *headerWriter {
	memory := thrift.NewTMemoryBuffer()
	h := &headerWriter{ctx: context.Background(), memory: memory, out: thrift.NewTCompactProtocolConf(memory, nil), to: to, unpacked: unpacked, packed: packed}
	h.note(h.out.WriteStructBegin(h.ctx, "PageHeader"))
	return h
}

func (h *headerWriter) note(err error) {
	if h.err == nil {
		h.err = err
	}
}

func (h *headerWriter) field(name string, kind thrift.TType, id int16) {
	h.note(h.out.WriteFieldBegin(h.ctx, name, kind, id))
}

func (h *headerWriter) i32(id int16, v int32) {
	h.field("", thrift.I32, id)
	h.note(h.out.WriteI32(h.ctx, v))
}

func (h *headerWriter) boolean(id int16, v bool) {
	h.field("", thrift.BOOL, id)
	h.note(h.out.WriteBool(h.ctx, v))
}

func (h *headerWriter) structure(id int16, fields func()) {
	h.field("", thrift.STRUCT, id)
	h.note(h.out.WriteStructBegin(h.ctx, ""))
	fields()
	h.note(h.out.WriteFieldStop(h.ctx))
	h.note(h.out.WriteStructEnd(h.ctx))
}

func (h *headerWriter) sizes() {
	h.i32(2, int32(h.unpacked))
	h.i32(3, int32(h.packed))
}

func (h *headerWriter) end() error {
	h.note(h.out.WriteFieldStop(h.ctx))
	h.note(h.out.WriteStructEnd(h.ctx))
	h.note(h.out.Flush(h.ctx))
	h.to.Write(h.memory.Bytes())
	return h.err
}

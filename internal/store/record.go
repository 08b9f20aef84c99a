package store

import (
	"encoding/binary"
	"hash/crc32"
)

// Since format 2 every record but the format number itself is its value followed
// by a checksum of key and value. The checksum tells a damaged record from a good
// one, and a record under another record's key. CRC-32C is not a protection
// against someone who changes the file on purpose.

// checksumSize is the number of bytes of a record's checksum.
const checksumSize = 4

var castagnoliTable = crc32.MakeTable(crc32.Castagnoli)

// checksum returns the CRC-32C (RFC 9260, appendix A) of key and value.
func checksum(key, value []byte) uint32 {
	return crc32.Update(crc32.Checksum(key, castagnoliTable), castagnoliTable, value)
}

// sealRecord returns the record to store under key: value and its checksum.
func sealRecord(key, value []byte) []byte {
	record := make([]byte, 0, len(value)+checksumSize)
	record = append(record, value...)
	return binary.BigEndian.AppendUint32(record, checksum(key, value))
}

// openRecord returns the value of a record, or false if its checksum is wrong.
// The value is a part of record.
func openRecord(key, record []byte) (value []byte, ok bool) {
	n := len(record) - checksumSize
	if n < 0 {
		return nil, false
	}
	value = record[:n:n]
	return value, binary.BigEndian.Uint32(record[n:]) == checksum(key, value)
}

// value returns the value of a record in the format of the open file. In format 1
// a record is the value alone.
func (t *Tx) value(key, record []byte) (value []byte, ok bool) {
	if t.store.format < 2 {
		return record, record != nil
	}
	return openRecord(key, record)
}

// Package xapi writes records as statements of the Experience API and hands them
// to a learning record store.
//
// Statements follow IEEE 9274.1.1 (xAPI 2.0). [Maker] makes them; the same row
// always gives the same statement with the same id, a UUID of version 5 over the
// identity of the records and the row's own, so that what is sent twice is kept
// once. [Client] sends them, in batches, trying again where that can help. What
// was corrected is voided, as statements are never changed.
//
// Practice logs are not written: they tell how someone works, not what they
// achieved.
package xapi

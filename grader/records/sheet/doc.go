// Package sheet writes records for other programs: mark sheets as CSV and as an
// XLSX workbook, and everything as JSON Lines. It reads the records and changes
// nothing. The same records give the same bytes.
package sheet

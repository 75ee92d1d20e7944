// Package paint shows a bubbletea model on a terminal, or on whatever else
// carries a terminal's bytes.
//
// The library's own renderer asks at a fixed rate, 60 times a second, whether
// there is something to draw, for as long as the program runs. Here a frame is
// drawn when the model has changed: at once, or a little later when the frame
// before it is very recent. While nothing changes, nothing runs: an open screen
// costs no processor time, and a host with a hundred of them neither.
//
// Lines that stay as they are are not sent again.
package paint

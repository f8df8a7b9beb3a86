//! A routine or a note as sound: drone, click, count-in, tones. No device I/O: gives samples.

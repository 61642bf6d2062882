//! Printing to a reader who may have gone away.

use std::io::{ErrorKind, Write, stdout};

/// Prints a line like `println!`. A reader that closed its end, such as `head`, ends the program
/// quietly and not with a panic.
macro_rules! say {
    () => {
        $crate::say::line(format_args!(""))
    };
    ($($words:tt)*) => {
        $crate::say::line(format_args!($($words)*))
    };
}

pub fn line(words: std::fmt::Arguments<'_>) {
    if let Err(error) = writeln!(stdout(), "{words}") {
        let gone = error.kind() == ErrorKind::BrokenPipe;
        std::process::exit(if gone { 0 } else { 2 });
    }
}

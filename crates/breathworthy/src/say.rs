//! Printing to a reader who may have gone away.

use std::fmt::Arguments;
use std::io::{ErrorKind, Write, stderr, stdout};
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether how far the work is stands on the line of the terminal.
static PROGRESS: AtomicBool = AtomicBool::new(false);

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

pub fn line(words: Arguments<'_>) {
    end_progress();
    if writeln!(Out, "{words}").is_err() {
        std::process::exit(2);
    }
}

/// Standard output for whoever writes more than lines; it ends the program in the same way.
pub struct Out;

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        stdout().write(bytes).inspect_err(end_where_gone)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        stdout().flush().inspect_err(end_where_gone)
    }
}

fn end_where_gone(error: &std::io::Error) {
    if error.kind() == ErrorKind::BrokenPipe {
        std::process::exit(0);
    }
}

/// Prints an error. Where nobody reads errors, there is nobody to tell that.
pub fn error(words: Arguments<'_>) {
    end_progress();
    let _ = writeln!(stderr(), "error: {words}");
}

/// Prints what is to be known beside an answer. Where nobody reads it, there is nobody to tell that.
pub fn aside(words: Arguments<'_>) {
    end_progress();
    let _ = writeln!(stderr(), "{words}");
}

/// Says how far the work is, in the place of what was said before.
pub fn progress(words: Arguments<'_>) {
    PROGRESS.store(true, Ordering::Relaxed);
    let _ = write!(stderr(), "\r{:40}\r{words}", "");
}

/// Takes back what was said of the progress.
pub fn end_progress() {
    if PROGRESS.swap(false, Ordering::Relaxed) {
        let _ = write!(stderr(), "\r{:40}\r", "");
    }
}

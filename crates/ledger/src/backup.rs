//! A ledger kept a second time: a file of its own, read again before it is called a backup.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use crate::incoming::{self, Copied, CopyError};
use crate::sqlite::SqliteStore;
use crate::store::Store;
use crate::verify;

/// Copies `from` into a new SQLite file at `to`, whichever database `from` is kept in.
///
/// The file appears under its name only when it is whole, was read again and is on the disk.
pub(crate) async fn back_up(from: &impl Store, to: &Path) -> Result<Copied, CopyError> {
    if to.exists() {
        return Err(CopyError::NotEmpty(to.into()));
    }
    let partial = with_ending(to, ".partial");
    for ending in ["", "-wal", "-shm"] {
        match fs::remove_file(with_ending(&partial, ending)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
            _ => {}
        }
    }
    let copy = SqliteStore::open(&partial).await?;
    let copied = incoming::copy(from, &copy).await?;
    copy.close().await;
    let copy = SqliteStore::open(&partial).await?;
    let found = verify::verify(&copy, &[]).await?;
    copy.close().await;
    if !found.stands() || found.sites != copied.came {
        return Err(CopyError::CopyDiffers(to.into()));
    }
    File::open(&partial)?.sync_all()?;
    fs::rename(&partial, to)?;
    let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty());
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()?;
    Ok(copied)
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

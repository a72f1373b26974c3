//! Files written whole or not at all. May not enter: what is in them.

use std::io::{self, Write};
use std::path::Path;

/// Writes `bytes` to `path`: first to a neighbour in the same folder, then renamed, so that an
/// interruption leaves either the old file or the new one.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut neighbour = tempfile::Builder::new()
        .prefix(".sunside-")
        .tempfile_in(folder)?;
    neighbour.write_all(bytes)?;
    neighbour.as_file().sync_all()?;
    readable_by_others(neighbour.as_file())?;
    neighbour.persist(path).map_err(|refused| refused.error)?;
    Ok(())
}

/// Temporary files are private to their owner; what we leave behind is an ordinary file.
#[cfg(unix)]
fn readable_by_others(file: &std::fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_others(_: &std::fs::File) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.html");
        write_whole(&path, b"old").unwrap();
        write_whole(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_missing_folder_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        assert!(write_whole(&folder.path().join("no/such/file"), b"x").is_err());
    }
}

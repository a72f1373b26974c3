//! Files written whole or not at all. May not enter: what is written.

use std::{
    error::Error,
    fs::{self, File, Permissions},
    io::{self, ErrorKind, Write},
    path::{Path, PathBuf},
};
use tempfile::Builder;

/// Writes a file so that at any moment there is either the old one or the whole new one.
///
/// The bytes go to a temporary file beside the target, are synced, and take the target's place by a
/// rename. After an error the old file is untouched and no temporary file is left. A symbolic link
/// stays a link, a replaced file keeps its permissions, and what is no file at all (a terminal, a
/// pipe) is written to as it is.
///
/// # Errors
/// Of the kind that the system gave, its text naming the path and the cause.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    write_with(path, |file| file.write_all(bytes))
        .map_err(|error| io::Error::new(error.kind(), explain(path, &error)))
}

/// `write_whole` with the writing left to the caller, so that tests can let it fail half-way.
fn write_with(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let old = match fs::metadata(path) {
        Ok(old) if old.is_dir() => return Err(ErrorKind::IsADirectory.into()),
        Ok(old) if !old.is_file() => return fill(&mut File::options().write(true).open(path)?),
        Ok(old) => Some(old.permissions()),
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => return Err(error),
    };
    // Renaming over a link would replace the link.
    let target = match old {
        Some(_) => fs::canonicalize(path)?,
        None => link_target(path),
    };
    let mut builder = Builder::new();
    builder.prefix(".sunside-");
    if let Some(permissions) = old.clone().or_else(new_file_permissions) {
        builder.permissions(permissions);
    }
    let mut temporary = builder.tempfile_in(folder_of(&target))?;
    fill(temporary.as_file_mut())?;
    if let Some(permissions) = old {
        // Those given at creation are cut by the process's mask.
        temporary.as_file().set_permissions(permissions)?;
    }
    temporary.as_file().sync_all()?;
    temporary.persist(&target)?;
    Ok(())
}

/// Where a link that leads to nothing yet would have its file; any other path as it is.
fn link_target(path: &Path) -> PathBuf {
    let mut target = path.to_path_buf();
    // As many links as systems follow.
    for _ in 0..40 {
        let Ok(next) = fs::read_link(&target) else {
            break;
        };
        target = folder_of(&target).join(next);
    }
    target
}

/// What any newly made file gets before the process's mask; temporary files are private otherwise.
#[cfg(unix)]
fn new_file_permissions() -> Option<Permissions> {
    use std::os::unix::fs::PermissionsExt;
    Some(Permissions::from_mode(0o666))
}

/// Elsewhere the system decides.
#[cfg(not(unix))]
fn new_file_permissions() -> Option<Permissions> {
    None
}

/// The folder that holds a path; a bare name lies in the current one.
fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

/// One sentence: which path, what is wrong, and what to do where that is plain.
fn explain(path: &Path, error: &io::Error) -> String {
    let folder = folder_of(path);
    let cause = match error.kind() {
        ErrorKind::IsADirectory => "it is a folder; give a file's name".to_string(),
        ErrorKind::NotFound if !folder.is_dir() => {
            format!("the folder {} does not exist", folder.display())
        }
        ErrorKind::NotADirectory => format!("{} is not a folder", folder.display()),
        ErrorKind::PermissionDenied => {
            format!("no permission to write in {}", folder.display())
        }
        ErrorKind::ReadOnlyFilesystem => {
            format!("{} is on a read-only file system", folder.display())
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "no space is left on the disk".to_string()
        }
        _ => innermost(error),
    };
    format!("cannot write {}: {cause}", path.display())
}

/// The system's own words, without the name of the temporary file that wraps them.
fn innermost(error: &io::Error) -> String {
    let mut cause: &dyn Error = error;
    while let Some(deeper) = cause.source() {
        cause = deeper;
    }
    cause.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use tempfile::{TempDir, tempdir};

    /// The names in a folder, so that a left temporary file is seen.
    fn names(folder: &TempDir) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_new_file_and_a_replaced_one_hold_exactly_the_bytes() {
        let folder = tempdir().unwrap();
        let path = folder.path().join("card.html");
        write_whole(&path, b"a longer first text").unwrap();
        write_whole(&path, b"second").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"second");
        assert_eq!(names(&folder), ["card.html"]);
    }

    #[test]
    fn a_failure_half_way_leaves_the_old_file_and_nothing_else() {
        let folder = tempdir().unwrap();
        let path = folder.path().join("answers.json");
        fs::write(&path, "old").unwrap();
        let error = write_with(&path, |file| {
            file.write_all(b"ne")?;
            Err(ErrorKind::StorageFull.into())
        })
        .unwrap_err();
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
        assert_eq!(names(&folder), ["answers.json"]);
        assert_eq!(
            explain(&path, &error),
            format!(
                "cannot write {}: no space is left on the disk",
                path.display()
            )
        );
    }

    #[test]
    fn a_missing_folder_is_named_and_not_made() {
        let folder = tempdir().unwrap();
        let missing = folder.path().join("cards");
        let path = missing.join("card.html");
        let error = write_whole(&path, b"x").unwrap_err();
        assert_eq!(error.kind(), ErrorKind::NotFound);
        assert_eq!(
            error.to_string(),
            format!(
                "cannot write {}: the folder {} does not exist",
                path.display(),
                missing.display()
            )
        );
        assert!(names(&folder).is_empty());
    }

    #[test]
    fn a_folder_as_target_is_refused_and_kept() {
        let folder = tempdir().unwrap();
        let path = folder.path().join("cards");
        fs::create_dir(&path).unwrap();
        let error = write_whole(&path, b"x").unwrap_err();
        assert_eq!(error.kind(), ErrorKind::IsADirectory);
        assert!(error.to_string().contains("it is a folder"), "{error}");
        assert!(path.is_dir());
        assert_eq!(names(&folder), ["cards"]);
    }

    #[test]
    fn a_file_used_as_a_folder_is_named() {
        let folder = tempdir().unwrap();
        let file = folder.path().join("cards");
        fs::write(&file, "old").unwrap();
        let error = write_whole(&file.join("card.html"), b"x").unwrap_err();
        let expected = format!("{} is not a folder", file.display());
        assert!(error.to_string().ends_with(&expected), "{error}");
        assert_eq!(fs::read_to_string(&file).unwrap(), "old");
    }

    #[test]
    fn no_permission_is_said_with_the_folder() {
        let error = ErrorKind::PermissionDenied.into();
        assert_eq!(
            explain(Path::new("cards/card.html"), &error),
            "cannot write cards/card.html: no permission to write in cards"
        );
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_device_is_written_to_and_not_replaced() {
        use std::os::unix::fs::FileTypeExt;
        let full = Path::new("/dev/full");
        let error = write_whole(full, b"x").unwrap_err();
        assert_eq!(error.kind(), ErrorKind::StorageFull);
        assert_eq!(
            error.to_string(),
            "cannot write /dev/full: no space is left on the disk"
        );
        write_whole(Path::new("/dev/null"), b"x").unwrap();
        for device in ["/dev/full", "/dev/null"] {
            let kind = fs::metadata(device).unwrap().file_type();
            assert!(kind.is_char_device(), "{device}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_a_replaced_file_keeps_its_permissions() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempdir().unwrap();
        let (file, link) = (folder.path().join("a.json"), folder.path().join("b.json"));
        fs::write(&file, "old").unwrap();
        fs::set_permissions(&file, Permissions::from_mode(0o646)).unwrap();
        symlink(&file, &link).unwrap();
        write_whole(&link, b"new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read_to_string(&file).unwrap(), "new");
        let mode = fs::metadata(&file).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o646);
    }

    #[cfg(unix)]
    #[test]
    fn a_new_file_is_as_readable_as_any_other_new_file() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempdir().unwrap();
        let (ours, plain) = (folder.path().join("ours"), folder.path().join("plain"));
        write_whole(&ours, b"x").unwrap();
        fs::write(&plain, "x").unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode(&ours), mode(&plain));
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_nothing_yet_gets_its_file() {
        let folder = tempdir().unwrap();
        let (link, file) = (folder.path().join("link"), folder.path().join("file"));
        std::os::unix::fs::symlink("file", &link).unwrap();
        write_whole(&link, b"new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read(file).unwrap(), b"new");
    }
}

//! Why a scene was not saved, in a sentence each. May not enter: how it is saved.

use crate::document::Problems;
use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why a scene was not saved; its file is untouched.
#[derive(Debug, Error)]
pub enum Unsaved {
    /// Somebody else changed it.
    #[error(
        "{} was changed by somebody else since it was opened: save under another name, or open it again", .0.display()
    )]
    Changed(PathBuf),
    /// Nobody may write it.
    #[error("{} is read-only: save under another name", .0.display())]
    ReadOnly(PathBuf),
    /// A scene lies there that may only be replaced on purpose.
    #[error("{} exists: save once more to replace it", .0.display())]
    Exists(PathBuf),
    /// What lies there is no scene: a model, or something else.
    #[error("{} exists and is no scene: it is not replaced; name another file", .0.display())]
    NoScene(PathBuf),
    /// The file could not be read or written.
    #[error(transparent)]
    File(#[from] io::Error),
    /// What would be written is no sound scene.
    #[error("nothing was saved, since the scene would not be sound: {}", first_of(.0))]
    Unsound(Problems),
    /// What would be written reads back as something else.
    #[error("nothing was saved, since {0} would not read back as it is")]
    Otherwise(&'static str),
}

/// The first problem, what is wrong before where; how many more there are.
fn first_of(problems: &Problems) -> String {
    let mut all = problems.iter();
    let first = all.next().map_or(String::new(), |problem| {
        let place = format!("{}, line {}", problem.file, problem.line);
        let found = match problem.found.is_empty() {
            true => String::new(),
            false => format!(": {}", problem.found),
        };
        format!("{} {}{found} ({place})", problem.key_path, problem.message)
    });
    match all.count() {
        0 => first.trim().to_string(),
        more => format!("{} and {more} more", first.trim()),
    }
}

//! Which kind of file a document is, by its top-level tables, so that one given in another's place is told in
//! one sentence. May not enter: what stands in those tables.

use super::file::Document;
use super::problem::{Problem, Problems};
use super::table::Table;

/// The kinds of file that people write.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A site with a machine on it.
    Scene,
    /// A machine's file beside its mesh.
    Model,
    /// Limits.
    Rulebook,
}

/// Top-level tables that only one kind of file has.
const MARKS: [(&str, FileKind); 12] = [
    ("scene", FileKind::Scene),
    ("place", FileKind::Scene),
    ("track", FileKind::Scene),
    ("machine", FileKind::Scene),
    ("ground", FileKind::Scene),
    ("frame", FileKind::Scene),
    ("model", FileKind::Model),
    ("part", FileKind::Model),
    ("dimensions", FileKind::Model),
    ("rulebook", FileKind::Rulebook),
    ("measure", FileKind::Rulebook),
    ("fault", FileKind::Rulebook),
];

impl FileKind {
    /// Every kind.
    pub const ALL: [FileKind; 3] = [FileKind::Scene, FileKind::Model, FileKind::Rulebook];

    /// What a person calls it.
    pub fn word(self) -> &'static str {
        match self {
            FileKind::Scene => "a scene",
            FileKind::Model => "a model",
            FileKind::Rulebook => "a rulebook",
        }
    }

    /// The kind whose marks are most; none if nothing is marked.
    pub fn of(document: &Document) -> Option<FileKind> {
        let keys = document.root().keys();
        let marks = |kind: FileKind| keys.iter().filter(|key| kind.is_marked_by(key)).count();
        (FileKind::ALL.into_iter())
            .map(|kind| (marks(kind), kind))
            .filter(|(count, _)| *count > 0)
            .max_by_key(|(count, _)| *count)
            .map(|(_, kind)| kind)
    }

    fn is_marked_by(self, key: &str) -> bool {
        MARKS.iter().any(|(mark, of)| *mark == key && *of == self)
    }
}

impl Document {
    /// The document, if it may be of this kind; one that has only another kind's tables is told so, and
    /// nothing else of it: every further problem would follow from that one.
    pub fn wanted_as(self, wanted: FileKind) -> Result<Document, Problems> {
        let root: Table<'_> = self.root();
        let own = root.keys().iter().any(|key| wanted.is_marked_by(key));
        match FileKind::of(&self) {
            Some(other) if !own => {
                let message = format!("this looks like {}", other.word());
                let allowed = wanted.word();
                Err(Problem::at(self.source(), 0..0, "", message, allowed).into())
            }
            _ => Ok(self),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_kind_of_file_is_one_problem_and_no_kind_is_none() {
        let told =
            |text: &str, wanted| match Document::parse("f", text.as_bytes()).wanted_as(wanted) {
                Ok(_) => String::new(),
                Err(problems) => problems.to_string(),
            };
        let scene = "[scene]\nname = \"a\"\n[place]\n";
        assert_eq!(
            told(scene, FileKind::Rulebook),
            "f:1:1: this looks like a scene (allowed: a rulebook)"
        );
        assert_eq!(told(scene, FileKind::Scene), "");
        assert_eq!(
            told("[[part]]\n[rulebook]\n[fault]", FileKind::Scene),
            "f:1:1: this looks like a rulebook (allowed: a scene)"
        );
        for kind in FileKind::ALL {
            assert_eq!(told("[other]\n", kind), "");
        }
    }
}

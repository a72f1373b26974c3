//! Wavefront OBJ read into vertices and named groups of triangles, every problem located.
//! May not enter: roles, materials, dimensions (see `sidecar`).
//!
//! An own reader of the few statements that a mesh needs, so that every error is told with its line.

use crate::document::{Problem, Problems, Source, nearest};
use glam::DVec3;
use std::collections::HashMap;
use std::sync::Arc;

/// A broken mesh is broken in thousands of lines: reading stops after so many problems.
const MOST_PROBLEMS: usize = 50;

/// Nobody models a face of more corners; what could not be told from a slip is refused.
const MOST_CORNERS: usize = 256;

/// The group of faces that stand before any `g` or `o` (the format's own default name).
const DEFAULT_GROUP: &str = "default";

/// Statements that say nothing about where a surface lies.
const PASSED_OVER: [&str; 9] = ["vn", "vt", "vp", "s", "usemtl", "mtllib", "l", "p", "mg"];

/// A mesh with its groups.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Positions as in the file.
    pub vertices: Vec<DVec3>,
    /// Groups with at least one face, in the order of their first line.
    pub groups: Vec<Group>,
}

/// Faces under one name.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its name: the rest of the `g` or `o` line.
    pub name: String,
    /// The line (from 1) that names it first.
    pub line: usize,
    /// Corners as indices into the vertices. Faces with more corners come as fans.
    pub triangles: Vec<[u32; 3]>,
}

/// Reads a mesh. Faces without area are left out: they can be neither seen nor lit.
pub fn read(source: &Arc<Source>) -> Result<Mesh, Problems> {
    let mut reader = Reader {
        source,
        problems: Problems::new(),
        vertices: Vec::new(),
        groups: Vec::new(),
        by_name: HashMap::new(),
        faces: Vec::new(),
    };
    let mut current = (DEFAULT_GROUP.to_string(), 1);
    for (index, line) in source.text.lines().enumerate() {
        let line_number = index + 1;
        let statement = line.split('#').next().unwrap_or_default();
        let mut words = Words::new(statement);
        let Some((_, keyword)) = words.next() else {
            continue;
        };
        match keyword {
            "v" => reader.vertex(line_number, words),
            "f" => reader.face(line_number, words, &current),
            "g" | "o" => {
                let name = statement[words.offset..].trim();
                let name = if name.is_empty() { DEFAULT_GROUP } else { name };
                current = (name.to_string(), line_number);
            }
            word if PASSED_OVER.contains(&word) => {}
            word => reader.unknown_statement(line_number, word),
        }
        if reader.problems.len() >= MOST_PROBLEMS {
            return Err(reader.problems);
        }
    }
    reader.finish()
}

/// A face as it was read: its corners may still point to vertices that come later.
struct Face {
    line: usize,
    group: usize,
    /// Index from 0, and the columns (bytes) of the word in its line.
    corners: Vec<(u32, usize, usize)>,
}

struct Reader<'a> {
    source: &'a Arc<Source>,
    problems: Problems,
    vertices: Vec<DVec3>,
    groups: Vec<Group>,
    by_name: HashMap<String, usize>,
    faces: Vec<Face>,
}

impl Reader<'_> {
    fn vertex(&mut self, line: usize, words: Words<'_>) {
        let words: Vec<(usize, &str)> = words.collect();
        if words.len() < 3 {
            return self.refuse_line(
                line,
                "a vertex with fewer than 3 numbers",
                "v x y z, metres",
            );
        }
        let mut position = [0.0; 3];
        for (slot, (at, word)) in position.iter_mut().zip(words) {
            match word.parse::<f64>() {
                Ok(number) if number.is_finite() => *slot = number,
                _ => self.refuse(
                    line,
                    at,
                    word,
                    "not a finite number",
                    "a finite number, metres",
                ),
            }
        }
        // Kept even if refused, so that the faces' indices still mean what they say.
        self.vertices.push(DVec3::from_array(position));
    }

    fn face(&mut self, line: usize, words: Words<'_>, current: &(String, usize)) {
        let mut corners = Vec::new();
        for (at, word) in words {
            let first = word.split('/').next().unwrap_or_default();
            let index = match first.parse::<i64>() {
                Ok(index) if index > 0 => Some(index - 1),
                Ok(index) if index < 0 => Some(self.vertices.len() as i64 + index),
                _ => None,
            };
            match index.and_then(|index| u32::try_from(index).ok()) {
                Some(index) => corners.push((index, at, word.len())),
                None => {
                    let allowed = "a vertex number from 1, or from -1 counted back";
                    return self.refuse(line, at, word, "not a vertex number", allowed);
                }
            }
        }
        if corners.len() < 3 {
            return self.refuse_line(line, "a face with fewer than 3 corners", "f a b c");
        }
        if corners.len() > MOST_CORNERS {
            let message = format!("a face with {} corners", corners.len());
            let allowed = format!("at most {MOST_CORNERS} corners; cut it into smaller faces");
            return self.refuse_line(line, &message, &allowed);
        }
        let group = *self.by_name.entry(current.0.clone()).or_insert_with(|| {
            self.groups.push(Group {
                name: current.0.clone(),
                line: current.1,
                triangles: Vec::new(),
            });
            self.groups.len() - 1
        });
        self.faces.push(Face {
            line,
            group,
            corners,
        });
    }

    fn unknown_statement(&mut self, line: usize, word: &str) {
        let allowed = match nearest(word, ["v", "vn", "vt", "f", "g", "o", "usemtl", "mtllib"]) {
            Some(near) => format!("v, f, g, o and plain mesh statements; did you mean {near}?"),
            None => "v, f, g, o and plain mesh statements (no curves, no continued lines)".into(),
        };
        self.refuse(line, 0, word, "unknown OBJ statement", &allowed);
    }

    fn finish(mut self) -> Result<Mesh, Problems> {
        let count = self.vertices.len();
        for face in std::mem::take(&mut self.faces) {
            let beyond = face
                .corners
                .iter()
                .find(|(index, ..)| *index as usize >= count);
            if let Some(&(_, at, length)) = beyond {
                let start = self.source.line_span(face.line).start + at;
                let allowed = format!("1 to {count}, the number of vertices in this file");
                self.push(
                    start..start + length,
                    "vertex number out of range",
                    &allowed,
                );
                if self.problems.len() >= MOST_PROBLEMS {
                    break;
                }
                continue;
            }
            let corner = |i: usize| face.corners[i].0;
            for i in 1..face.corners.len() - 1 {
                let triangle = [corner(0), corner(i), corner(i + 1)];
                if area_m2(&self.vertices, triangle) > 0.0 {
                    self.groups[face.group].triangles.push(triangle);
                }
            }
        }
        self.groups.retain(|group| !group.triangles.is_empty());
        if self.problems.is_empty() && self.groups.is_empty() {
            self.push(0..0, "no faces in this file", "OBJ with v and f statements");
        }
        let mesh = Mesh {
            vertices: self.vertices,
            groups: self.groups,
        };
        self.problems.or(Some(mesh))
    }

    fn refuse(&mut self, line: usize, at: usize, word: &str, message: &str, allowed: &str) {
        let start = self.source.line_span(line).start + at;
        self.push(start..start + word.len(), message, allowed);
    }

    fn refuse_line(&mut self, line: usize, message: &str, allowed: &str) {
        self.push(self.source.line_span(line), message, allowed);
    }

    fn push(&mut self, span: std::ops::Range<usize>, message: &str, allowed: &str) {
        self.problems
            .push(Problem::at(self.source, span, "", message, allowed));
    }
}

fn area_m2(vertices: &[DVec3], corners: [u32; 3]) -> f64 {
    let [a, b, c] = corners.map(|corner| vertices[corner as usize]);
    (b - a).cross(c - a).length() / 2.0
}

/// Words of a line with their byte offsets.
struct Words<'a> {
    line: &'a str,
    offset: usize,
}

impl<'a> Words<'a> {
    fn new(line: &'a str) -> Words<'a> {
        Words { line, offset: 0 }
    }
}

impl<'a> Iterator for Words<'a> {
    type Item = (usize, &'a str);

    fn next(&mut self) -> Option<Self::Item> {
        let rest = &self.line[self.offset..];
        let start = self.offset + rest.find(|c: char| !c.is_whitespace())?;
        let rest = &self.line[start..];
        let end = start + rest.find(char::is_whitespace).unwrap_or(rest.len());
        self.offset = end;
        Some((start, &self.line[start..end]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_text(text: &str) -> Result<Mesh, Problems> {
        read(&Arc::new(Source::new("m.obj", text.to_string())))
    }

    const SQUARE: &str = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n";

    #[test]
    fn a_face_of_four_is_a_fan_of_two_and_indices_may_count_back() {
        let mesh = read_text(&format!(
            "{SQUARE}g side # a\nf 1/1/1 2//2 3 4\nf -4 -3 -2\n"
        ))
        .unwrap();
        assert_eq!(mesh.groups.len(), 1);
        assert_eq!(mesh.groups[0].name, "side");
        assert_eq!(mesh.groups[0].line, 5);
        assert_eq!(mesh.groups[0].triangles, [[0, 1, 2], [0, 2, 3], [0, 1, 2]]);
    }

    #[test]
    fn faces_without_a_group_come_under_the_default_name() {
        let mesh = read_text(&format!("{SQUARE}f 1 2 3\n")).unwrap();
        assert_eq!(mesh.groups[0].name, "default");
    }

    #[test]
    fn every_broken_line_is_located() {
        let text = format!("{SQUARE}v 0 NaN 0\nv 1 2\nf 1 2 99\nf 0 1 2\nf 1 2\nvv 1\nf 1 2 x\n");
        let told = read_text(&text).unwrap_err().to_string();
        for wanted in [
            "m.obj:5:5: not a finite number: NaN",
            "m.obj:6:1: a vertex with fewer than 3 numbers",
            "m.obj:7:7: vertex number out of range: 99 (allowed: 1 to 5",
            "m.obj:8:3: not a vertex number: 0",
            "m.obj:9:1: a face with fewer than 3 corners",
            "m.obj:10:1: unknown OBJ statement: vv",
            "m.obj:11:7: not a vertex number: x",
        ] {
            assert!(told.contains(wanted), "{wanted}\n---\n{told}");
        }
    }

    #[test]
    fn a_face_of_too_many_corners_is_refused_at_its_line() {
        let ring = |corners: usize| {
            let angle = |i: usize| i as f64 / corners as f64 * std::f64::consts::TAU;
            let vertex = |i: usize| format!("v {} {} 0\n", angle(i).cos(), angle(i).sin());
            let face: Vec<String> = (1..=corners).map(|i| i.to_string()).collect();
            (0..corners).map(vertex).collect::<String>() + "f " + &face.join(" ")
        };
        let mesh = read_text(&ring(MOST_CORNERS)).unwrap();
        assert_eq!(mesh.groups[0].triangles.len(), MOST_CORNERS - 2);
        let told = read_text(&ring(MOST_CORNERS + 1)).unwrap_err().to_string();
        assert!(
            told.starts_with("m.obj:258:1: a face with 257 corners: f 1 2"),
            "{told}"
        );
        assert_eq!(told.lines().count(), 1, "{told}");
    }

    #[test]
    fn a_file_without_faces_is_refused_and_one_without_area_too() {
        assert!(
            read_text("")
                .unwrap_err()
                .to_string()
                .contains("m.obj:1:1: no faces")
        );
        assert!(read_text("v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n").is_err());
    }

    #[test]
    fn thousands_of_problems_are_cut_short() {
        let text = "v 1 nan 2\n".repeat(5000);
        assert_eq!(read_text(&text).unwrap_err().len(), MOST_PROBLEMS);
    }
}

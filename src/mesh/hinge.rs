//! Doors that swing: which shells of a mesh hang on which line, and the same mesh with them open.
//! May not enter: who wants them open.

use super::model::{HingedDoor, Triangle};
use super::winding::shells;
use crate::document::Table;
use glam::{DQuat, DVec3};

/// A door's box as the sidecar gives it, before the mesh is known.
pub(super) struct Hung {
    /// Its place in the file, for problems that only the mesh shows.
    index: usize,
    name: String,
    low: DVec3,
    high: DVec3,
    hinge: [DVec3; 2],
    open_deg: f64,
}

/// Reads `[[hinged_door]]`: a door is whatever shells lie wholly within its box.
pub(super) fn read(root: &Table<'_>) -> Option<Vec<Hung>> {
    let read = |(index, table): (usize, &Table<'_>)| {
        let name = table.text("name").required();
        let corner = |key| table.tuple::<3>(key).required().map(DVec3::from_array);
        let (low, high) = (corner("low_m"), corner("high_m"));
        let ends = (corner("hinge_from_m"), corner("hinge_to_m"));
        let open_deg = table.number("open_deg").range(-180.0..=180.0).required();
        let (low, high) = low.zip(high)?;
        let (from, to) = ends.0.zip(ends.1)?;
        if !low.cmplt(high).all() {
            let allowed = "above low_m in x, y and z";
            table.fault("high_m", "the box ends before it begins", allowed);
            return None;
        }
        if from.distance(to) < 1e-3 {
            let allowed = "another point than hinge_from_m";
            table.fault("hinge_to_m", "the hinge has no length", allowed);
            return None;
        }
        Some(Hung {
            index,
            name: name?,
            low,
            high,
            hinge: [from, to],
            open_deg: open_deg?,
        })
    };
    let tables = root.tables("hinged_door");
    tables.iter().enumerate().map(read).collect()
}

/// Finds each door's triangles in the mesh. A door without any, and a shell claimed twice, are told.
pub(super) fn hang(
    root: &Table<'_>,
    hung: Vec<Hung>,
    vertices: &[DVec3],
    triangles: &[Triangle],
) -> Vec<HingedDoor> {
    if hung.is_empty() {
        return Vec::new();
    }
    let tables = root.tables("hinged_door");
    let bounds = shell_bounds(vertices, triangles);
    let mut owner: Vec<Option<usize>> = vec![None; bounds.boxes.len()];
    let mut doors = Vec::with_capacity(hung.len());
    for door in hung {
        let table = &tables[door.index];
        let within =
            |(low, high): &(DVec3, DVec3)| low.cmpge(door.low).all() && high.cmple(door.high).all();
        let mut found = false;
        for (shell, extent) in bounds.boxes.iter().enumerate() {
            if !within(extent) {
                continue;
            }
            found = true;
            if owner[shell].replace(door.index).is_some() {
                let allowed = "boxes that share no piece of the mesh";
                table.fault(
                    "name",
                    "a piece of this door hangs on another one too",
                    allowed,
                );
            }
        }
        if !found {
            let allowed = "a box that wholly holds at least one closed piece of the mesh";
            table.fault(
                "low_m",
                "nothing of the mesh lies in this door's box",
                allowed,
            );
        }
        let mine = |t: &usize| owner[bounds.shell[*t]] == Some(door.index);
        doors.push(HingedDoor {
            triangles: (0..triangles.len())
                .filter(mine)
                .map(|t| t as u32)
                .collect(),
            name: door.name,
            hinge_m: door.hinge,
            open_deg: door.open_deg,
        });
    }
    doors
}

/// The shells of a mesh: whose each triangle is, and each one's least and greatest corner.
struct Shells {
    shell: Vec<usize>,
    boxes: Vec<(DVec3, DVec3)>,
}

/// Shells of every part on its own: a door may touch its frame if that is another part.
fn shell_bounds(vertices: &[DVec3], triangles: &[Triangle]) -> Shells {
    let mut found = Shells {
        shell: Vec::with_capacity(triangles.len()),
        boxes: Vec::new(),
    };
    for of_part in triangles.chunk_by(|a, b| a.part == b.part) {
        let corners: Vec<[u32; 3]> = of_part.iter().map(|t| t.corners).collect();
        let base = found.boxes.len();
        for (number, corners) in shells(vertices, &corners).into_iter().zip(&corners) {
            let shell = base + number;
            if shell >= found.boxes.len() {
                found
                    .boxes
                    .resize(shell + 1, (DVec3::INFINITY, DVec3::NEG_INFINITY));
            }
            let (low, high) = &mut found.boxes[shell];
            for corner in corners {
                let point = vertices[*corner as usize];
                (*low, *high) = (low.min(point), high.max(point));
            }
            found.shell.push(shell);
        }
    }
    found
}

/// The vertices with every door swung open on its hinge, and the triangles over them: vertices that a
/// door shares with something that stays are written twice.
pub(super) fn opened(
    vertices: &[DVec3],
    triangles: &[Triangle],
    doors: &[HingedDoor],
) -> (Vec<DVec3>, Vec<Triangle>) {
    let mut points = vertices.to_vec();
    let mut faces = triangles.to_vec();
    for door in doors {
        let swing = Swing::of(door);
        let mut moved = std::collections::BTreeMap::new();
        for &triangle in &door.triangles {
            for corner in &mut faces[triangle as usize].corners {
                let old = *corner;
                *corner = *moved.entry(old).or_insert_with(|| {
                    points.push(swing.point(points[old as usize]));
                    points.len() as u32 - 1
                });
            }
        }
    }
    // What no triangle uses any more would still count as part of the machine's outline.
    let mut used = vec![u32::MAX; points.len()];
    let mut kept = Vec::with_capacity(vertices.len());
    for corner in faces.iter_mut().flat_map(|face| &mut face.corners) {
        let slot = &mut used[*corner as usize];
        if *slot == u32::MAX {
            *slot = kept.len() as u32;
            kept.push(points[*corner as usize]);
        }
        *corner = *slot;
    }
    (kept, faces)
}

/// A turn about a door's hinge.
struct Swing {
    origin: DVec3,
    turn: DQuat,
}

impl Swing {
    fn of(door: &HingedDoor) -> Swing {
        let [from, to] = door.hinge_m;
        let axis = (to - from).normalize_or(DVec3::Z);
        Swing {
            origin: from,
            turn: DQuat::from_axis_angle(axis, crate::units::rad(door.open_deg)),
        }
    }

    fn point(&self, point: DVec3) -> DVec3 {
        self.origin + self.turn * (point - self.origin)
    }
}

//! What judging computes against tables of other libraries (`tests/reference/judge_fixtures.py`): tags by exifread,
//! bent frames by OpenCV, positions by geographiclib. May not enter: our own writers.

use crate::table::{Named, rows};
use glam::{DVec2, DVec3};
use std::path::Path;
use sunside::camera::film::Film;
use sunside::camera::pose::Pose;
use sunside::grade::{MeasureId, Measured, Reading};
use sunside::judge::bent::{lean_deg, margins, remeasure};
use sunside::judge::exif::{Said, read};
use sunside::judge::photo::Photo;
use sunside::judge::pose::{Fit, Plate, UNKNOWNS};
use sunside::judge::whence::{Whence, site_m};
use sunside::scene::Scene;
use sunside::sky::sun::Observer;

/// A field of the table beside ours: both missing, or alike to a millionth.
fn same(row: &Named, field: &str, ours: Option<f64>) {
    let file = row.text("file");
    let theirs = row.text(field);
    match (theirs.is_empty(), ours) {
        (true, None) => {}
        (false, Some(ours)) => {
            let theirs: f64 = theirs.parse().unwrap();
            assert!(
                (theirs / ours - 1.0).abs() < 1e-6,
                "{file}, {field}: {ours}, not {theirs}"
            );
        }
        (_, ours) => panic!("{file}, {field}: {ours:?}, not \"{theirs}\""),
    }
}

#[test]
fn every_field_of_eight_files_is_as_an_independent_reader_has_it() {
    let table: Vec<Named> = rows("exif");
    assert_eq!(table.len(), 8);
    let (mut little, mut big) = (0, 0);
    for row in &table {
        let file = row.text("file");
        let path = format!("tests/reference/exif/{file}");
        let bytes = std::fs::read(&path).unwrap();
        let has = |marker: &[u8]| bytes.windows(marker.len()).any(|part| part == marker);
        little += usize::from(has(b"Exif\0\0II"));
        big += usize::from(has(b"Exif\0\0MM"));
        let said = read(&bytes, Some([24, 16]));
        assert!(said.broken.is_empty(), "{file}: {:?}", said.broken);
        let local = said
            .local
            .value
            .filter(|_| said.local.origin == "DateTimeOriginal");
        let local = local.map_or(String::new(), |at| {
            at.format("%Y:%m:%d %H:%M:%S").to_string()
        });
        assert_eq!(local, row.text("local"), "{file}");
        let minutes = said
            .offset_min
            .value
            .filter(|_| said.offset_min.origin == "OffsetTimeOriginal");
        let offset = minutes.map_or(String::new(), |m| {
            let sign = if m < 0 { '-' } else { '+' };
            format!("{sign}{:02}:{:02}", m.abs() / 60, m.abs() % 60)
        });
        assert_eq!(offset, row.text("offset"), "{file}");
        same(row, "focal_mm", said.focal_mm.value);
        same(row, "equivalent_mm", said.equivalent_mm.value);
        same(row, "f_number", said.f_number.value);
        same(row, "exposure_s", said.exposure_s.value);
        same(row, "iso", said.iso.value);
        same(row, "orientation", said.orientation.value.map(f64::from));
        same(row, "lat_deg", said.position_deg.value.map(|at| at[0]));
        same(row, "lon_deg", said.position_deg.value.map(|at| at[1]));
        same(row, "position_error_m", said.position_error_m.value);
        let clock = said.universal.value.map_or(String::new(), |at| {
            at.format("%Y:%m:%d%H:%M:%S").to_string()
        });
        assert_eq!(
            clock,
            format!("{}{}", row.text("date_utc"), row.text("time_utc")),
            "{file}"
        );
        // 6000 pixels at their density a centimetre.
        let dense = (said.sensor.value).filter(|_| said.sensor.origin == "FocalPlaneXResolution");
        same(row, "density", dense.map(|film| 60_000.0 / film.width_mm));
        // The file is 24 x 16; orientations 5 to 8 stand it up.
        let photo = Photo::open(Path::new(&path)).unwrap();
        let turned = said.orientation.value.is_some_and(|way| way >= 5);
        assert_eq!(
            photo.size_px(),
            if turned { [16.0, 24.0] } else { [24.0, 16.0] }
        );
    }
    assert!(little >= 3 && big >= 3, "{little} {big}");
}

fn bent_fit(row: &Named) -> Fit {
    let number = |name: &str| row.number(name);
    Fit {
        pose: Pose {
            eye: DVec3::new(number("x_m"), number("y_m"), number("z_m")),
            heading_deg: number("heading_deg"),
            pitch_deg: number("pitch_deg"),
            roll_deg: number("roll_deg"),
        },
        focal_mm: number("focal_mm"),
        heeds_focal: true,
        radial: number("k1"),
        middle_px: DVec2::ZERO,
        covariance: [[0.0; UNKNOWNS]; UNKNOWNS],
        rms_px: 0.0,
        sigma_px: 1.0,
        residuals: Vec::new(),
    }
}

#[test]
fn margins_and_lean_of_a_bent_picture_are_those_of_another_library() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let model = &scene.machine.shut;
    let plate = Plate {
        width_px: 6000.0,
        height_px: 4000.0,
        film: Film::FULL,
    };
    let table: Vec<Named> = rows("bent_frame");
    assert_eq!(table.len(), 4);
    for row in &table {
        let fit = bent_fit(row);
        let found = margins(&fit, &plate, &model.vertices);
        // The mesh file has six decimals: 1e-6 of the frame is well beyond them.
        for (name, found) in [
            ("left", found.left),
            ("right", found.right),
            ("top", found.top),
            ("bottom", found.bottom),
        ] {
            let wanted = row.number(name);
            assert!(
                (found - wanted).abs() < 1e-6,
                "{name}: {found}, not {wanted}"
            );
        }
        let foot = DVec3::new(row.number("edge_x_m"), row.number("edge_y_m"), 1.0);
        let lean = lean_deg(&fit, &plate, [foot, foot + DVec3::Z * 2.0]).unwrap();
        assert!((lean - row.number("lean_deg")).abs() < 1e-6, "{lean}");
        // What is judged is the bent one; without a bend nothing is touched.
        let straight = vec![
            Measured::value(MeasureId::SideMargin, 50.0),
            Measured::absolute(MeasureId::Lean, 0.1),
            Measured::absolute(MeasureId::Roll, 0.4),
        ];
        let mut measured = straight.clone();
        remeasure(&mut measured, &fit, &plate, model);
        let of = |id| {
            measured
                .iter()
                .filter(|one| one.id == id)
                .collect::<Vec<_>>()
        };
        let smaller = 100.0 * row.number("left").min(row.number("right"));
        let [side] = of(MeasureId::SideMargin)[..] else {
            panic!()
        };
        assert!(matches!(side.reading, Reading::Value(value) if (value - smaller).abs() < 1e-4));
        assert_eq!(of(MeasureId::Roll), [&straight[2]]);
        assert_eq!(of(MeasureId::Lean).len(), 1);
        let unbent = Fit { radial: 0.0, ..fit };
        let mut same = straight.clone();
        remeasure(&mut same, &unbent, &plate, model);
        assert_eq!(same, straight);
    }
}

#[test]
fn positions_lie_where_a_geodesic_library_puts_them() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    for row in rows::<Named>("position_offsets") {
        let place = Observer {
            lat_deg: row.number("lat_deg"),
            lon_deg: row.number("lon_deg"),
            ..scene.place.observer
        };
        let there = [row.number("to_lat_deg"), row.number("to_lon_deg")];
        let (away_m, bearing) = (
            row.number("distance_m"),
            row.number("bearing_deg").to_radians(),
        );
        let wanted = DVec2::new(bearing.sin(), bearing.cos()) * away_m;
        let off_m = site_m(&place, there).distance(wanted);
        // A level map of the ground: half the meridians' convergence turns bearings, d tan(latitude) / 2R, nothing over
        // a walk; as much again for the sphere's own bend.
        let allowed_m =
            0.001 + away_m * away_m * (1.0 + place.lat_deg.to_radians().tan().abs()) / 12.74e6;
        assert!(off_m < allowed_m, "{away_m}: {off_m}");
    }
}

#[test]
fn a_position_contradicts_only_beyond_what_its_receiver_states() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let place = &scene.place.observer;
    let mut said: Said = read(&[], None);
    let whence = |said: &Said| Whence::of(said, place, DVec2::new(0.0, 0.0), 0.3);
    assert_eq!(whence(&said), None);
    // A degree of latitude is 111.0 km there: 20 m.
    said.position_deg.value = Some([place.lat_deg + 20.0 / 111_037.0, place.lon_deg]);
    let found = whence(&said).unwrap();
    assert!((found.distance_m - 20.0).abs() < 0.02 && found.bearing_deg < 0.01);
    assert!(
        !found.is_contradictory,
        "unstated: a telephone may be 20 m off"
    );
    said.position_error_m.value = Some(10.0);
    assert!(!whence(&said).unwrap().is_contradictory);
    said.position_error_m.value = Some(4.0);
    assert!(whence(&said).unwrap().is_contradictory);
    said.position_deg.doubt = Some("no fix".into());
    assert_eq!(whence(&said), None);
}

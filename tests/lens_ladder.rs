//! Lenses compared: the share, the distance and the perspective in closed form, the ground's leave, and what the
//! command writes. May not enter: how a frame is graded.

use crate::cli_status::sunside;
use crate::thumb_site::Site;
use glam::DVec3;
use serde_json::Value;
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Studio};
use sunside::plan::ladder::{Ladder, ladder, lenses_mm};
use sunside::plan::request::Watch;
use sunside::scene::Scene;
use sunside::scene::ground::Refusal;
use sunside::sighting::cpu::Cpu;
use tempfile::TempDir;

const AT: &str = "2027-05-14 10:00";

/// The thumb site with its frame's spot so many degrees off the nose and metres away.
fn scene(off_nose_deg: f64, distance_m: f64) -> Scene {
    let site = Site::facing(150.0, AT);
    let dir = TempDir::new().unwrap();
    let mut scene = Scene::load(&site.write(&dir)).unwrap();
    scene.frame.spot_m = site.spot(off_nose_deg, distance_m);
    scene
}

/// Climbs the ladder and hands the studio along.
fn climbed(scene: Scene, lenses: &[f64], check: impl FnOnce(&Studio, Ladder)) {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let minute = studio.minute(studio.scene.frame.at.unwrap());
    let cancel = AtomicBool::new(false);
    let watch = Watch {
        cancel: &cancel,
        told: &|_, _| {},
    };
    let found = ladder(&studio, &minute, lenses, &watch).unwrap().unwrap();
    check(&studio, found);
}

/// Central projection of every vertex of the mesh, not of the few that the ladder is found with.
fn share_of_all_vertices(studio: &Studio, rung: &sunside::plan::ladder::Rung) -> f64 {
    let camera = studio.camera(&rung.stand);
    let basis = camera.pose.basis();
    let across = |vertex: &DVec3| {
        let off = *vertex - camera.pose.eye;
        off.dot(basis.right) / off.dot(basis.forward) * camera.lens.focal_mm / 36.0
    };
    let all = studio.scene.machine.model.vertices.iter().map(across);
    let [low, high] = all.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], u| {
        [l.min(u), h.max(u)]
    });
    high - low
}

#[test]
fn every_lens_shows_the_machine_as_wide_as_the_scene_s_own_frame_does() {
    climbed(scene(-40.0, 29.0), &[35.0, 50.0, 200.0], |studio, found| {
        assert_eq!(found.rungs.len(), 3);
        assert!(found.without_mm.is_empty());
        for rung in &found.rungs {
            let share = share_of_all_vertices(studio, rung);
            assert!(
                (share - found.share).abs() < 5e-4,
                "{share} {}",
                found.share
            );
            let sheet_size = rung
                .graded
                .sheet
                .row(sunside::grade::MeasureId::Size)
                .unwrap();
            assert!((sheet_size.value.unwrap() - 100.0 * found.share).abs() < 1e-6);
        }
        // The frame's own lens stands on the frame's own spot.
        let own = &found.rungs[1];
        assert!((own.distance_m - 29.0).abs() < 1e-6, "{}", own.distance_m);
        assert!(own.stand.spot_m.distance(studio.scene.frame.spot_m) < 1e-6);
        let minute = studio.minute(studio.scene.frame.at.unwrap());
        let graded = studio.grade(&studio.default_stand(), &studio.default_capture(), &minute);
        assert_eq!(graded.sheet.verdict, own.graded.sheet.verdict);
        assert!((graded.sheet.score - own.graded.sheet.score).abs() < 1e-6);
    });
}

/// Ahead of the nose the couplers lie on the axis: image sizes go as one over the distance, so near : far is
/// (d + h) / (d − h) with half the length h (central projection).
#[test]
fn straight_ahead_near_to_far_is_the_ratio_of_the_couplers_distances() {
    climbed(scene(0.0, 70.0), &[35.0, 50.0, 85.0], |studio, found| {
        let half_m = studio.scene.machine.model.length_over_couplers_m() / 2.0;
        for rung in &found.rungs {
            let expected = (rung.distance_m + half_m) / (rung.distance_m - half_m);
            assert!(
                (rung.near_far.unwrap() - expected).abs() < 1e-9,
                "{expected}"
            );
        }
        assert!(
            found
                .rungs
                .windows(2)
                .all(|pair| pair[0].near_far > pair[1].near_far)
        );
        // Head-on the width is the front's: the distance to it grows with the focal length, within the front's
        // own depth.
        let front_m = |i: usize| found.rungs[i].distance_m - half_m;
        let ratio = front_m(2) / front_m(1);
        assert!((ratio - 85.0 / 50.0).abs() < 0.05, "{ratio}");
    });
}

#[test]
fn too_near_and_off_the_ground_are_refused_and_serve_nobody() {
    climbed(scene(-40.0, 29.0), &[12.0, 50.0, 600.0], |_, found| {
        let [wide, own, long] = &found.rungs[..] else {
            panic!("three lenses");
        };
        assert!(
            matches!(wide.ground, Err(Refusal::TooNear { .. })),
            "{:?}",
            wide.ground
        );
        assert_eq!(own.ground, Ok("open ground".into()));
        assert_eq!(long.ground, Err(Refusal::NotAllowed));
        assert!(own.serves() && !wide.serves() && !long.serves());
        // sin 40° of the way there is the distance from the track's axis; half the gauge and a rail's head less.
        let beside_m = own.distance_m * 40_f64.to_radians().sin();
        assert!((own.rail_m - beside_m).abs() < 0.9 && own.rail_m < beside_m);
    });
}

#[test]
fn the_usual_lenses_are_joined_by_the_kit_s_and_the_frame_s_own() {
    let mut scene = scene(-40.0, 29.0);
    scene.kit.lenses_mm = vec![43.0, 50.0];
    scene.frame.lens_mm = 75.0;
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let all = [
        35.0, 40.0, 43.0, 50.0, 58.0, 75.0, 85.0, 105.0, 135.0, 200.0,
    ];
    assert_eq!(lenses_mm(&studio, &[]), all);
    assert_eq!(lenses_mm(&studio, &[90.0, 28.0, 90.0]), [28.0, 90.0]);
}

#[test]
fn the_command_writes_table_data_and_one_picture() {
    let dir = TempDir::new().unwrap();
    let scene = "scenes/open_siding.toml";
    let png = dir.path().join("lenses.png");
    let picture = png.to_str().unwrap();
    let answer = sunside(&[
        "lenses",
        scene,
        "--lens",
        "50,85",
        "--json",
        "-",
        "--picture",
        picture,
    ]);
    assert_eq!(answer.status, 0, "{}", answer.err);
    let data: Value = serde_json::from_str(&answer.out).unwrap();
    let lenses = data["lenses"].as_array().unwrap();
    assert_eq!(lenses.len(), 2);
    assert_eq!(lenses[0]["stand"]["lens_mm"], 50.0);
    assert_eq!(lenses[0]["area"], "county road");
    assert!(lenses[0]["refusal"].is_null());
    assert!(
        answer.err.contains("50 mm") && answer.err.contains("near:far"),
        "{}",
        answer.err
    );
    // Two frames of 480 pixels beside one another, in their mounts.
    let decoder = png::Decoder::new(std::io::BufReader::new(std::fs::File::open(png).unwrap()));
    let info = decoder.read_info().unwrap();
    let info = info.info();
    assert!(
        info.width > 2 * 480 && info.height > 320,
        "{} x {}",
        info.width,
        info.height
    );
}

#[test]
fn by_night_no_lens_serves_and_an_unknown_end_is_answered_both_ways() {
    let dir = TempDir::new().unwrap();
    let site = Site::facing(120.0, AT);
    let path = site.write(&dir);
    let (scene, lens) = (path.to_str().unwrap(), ["--lens", "50"]);
    let night = sunside(&[&["lenses", scene, "--at", "2027-05-14 23:00"], &lens[..]].concat());
    assert_eq!(night.status, 1, "{}", night.err);
    assert!(night.out.contains("lost"), "{}", night.out);
    std::fs::write(&path, site.text().replace("\"second\"", "\"unknown\"")).unwrap();
    let answer = sunside(&[&["lenses", scene, "--json", "-"], &lens[..]].concat());
    let data: Value = serde_json::from_str(&answer.out).unwrap();
    let ends = [&data["head_end"], &data["other_end"]["head_end"]];
    assert!(ends.contains(&&Value::from("first")) && ends.contains(&&Value::from("second")));
}

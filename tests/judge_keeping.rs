//! Marks kept in their file: what somebody wrote there stays, what changed meanwhile is not written over, and what is
//! written is read by the command line's own reader. May not enter: windows, fits.

use glam::DVec2;
use std::path::Path;
use sunside::judge::keeping::{Kept, Unkept, marks_beside, put_aside};
use sunside::judge::marks::{Given, load};
use sunside::judge::pose::Mark;
use sunside::scene::Scene;
use tempfile::TempDir;

fn scene() -> Scene {
    Scene::load(Path::new("scenes/open_siding.toml")).unwrap()
}

fn mark(scene: &Scene, name: &str, x: f64, y: f64) -> Mark {
    let points = &scene.machine.shut.points;
    let point = points.iter().find(|point| point.name == name).unwrap();
    Mark {
        name: name.to_string(),
        at_m: point.position_m,
        at_px: DVec2::new(x, y),
    }
}

#[test]
fn marks_of_a_new_file_are_read_back_by_the_command_lines_reader() {
    let (scene, folder) = (scene(), TempDir::new().unwrap());
    let (model, zone) = (&scene.machine.shut, &scene.place.zone);
    let path = marks_beside(&folder.path().join("IMG 7.jpg"));
    assert!(path.ends_with("IMG 7.jpg.marks.toml"));
    let (kept, given) = Kept::open(&path, model, zone).unwrap();
    assert_eq!(given, Given::default());
    let given = Given {
        marks: vec![
            mark(&scene, "coupler_front", 100.1, 200.0),
            mark(&scene, "coupler_rear", 900.9, 210.25),
        ],
        focal_mm: Some(52.5),
        // The shortest that cameras have: six decimals would make it 1/32258.
        exposure_s: Some(1.0 / 32000.0),
        radial: false,
        at: Some("2027-05-14T15:00:00Z".parse().unwrap()),
        ..Given::default()
    };
    let kept = kept.save(&given, model, zone).unwrap();
    assert_eq!(load(&path, model, zone).unwrap(), given);
    // Nothing new is nothing written: the same bytes lie there.
    let before = std::fs::read(&path).unwrap();
    assert_eq!(kept.save(&given, model, zone).unwrap(), kept);
    assert_eq!(std::fs::read(&path).unwrap(), before);
    let none = Given::default();
    kept.save(&none, model, zone).unwrap();
    assert_eq!(load(&path, model, zone).unwrap(), none);
}

#[test]
fn comments_stay_and_only_what_changed_is_exchanged() {
    let (scene, folder) = (scene(), TempDir::new().unwrap());
    let (model, zone) = (&scene.machine.shut, &scene.place.zone);
    let path = folder.path().join("m.toml");
    let text = "# shot in May\n[marks]\nplaced_to_px = 0.50 # with a glass\nat = \"2027-05-14 10:00\"\n\n\
                # the near coupler\n[[mark]]\npoint = \"coupler_front\"\nat_px = [100.0, 200]\n\n\
                [[mark]]\npoint = \"coupler_rear\"\nat_px = [900, 210]\n";
    std::fs::write(&path, text).unwrap();
    let (kept, mut given) = Kept::open(&path, model, zone).unwrap();
    given.marks[1].at_px.x = 901.5;
    let kept = kept.save(&given, model, zone).unwrap();
    let now = std::fs::read_to_string(&path).unwrap();
    assert_eq!(now, text.replace("[900, 210]", "[901.5, 210]"));
    given.marks.remove(0);
    kept.save(&given, model, zone).unwrap();
    let now = std::fs::read_to_string(&path).unwrap();
    assert!(
        now.contains("# the near coupler\n[[mark]]\npoint = \"coupler_rear\""),
        "{now}"
    );
    assert!(now.starts_with("# shot in May\n[marks]\nplaced_to_px = 0.50 # with a glass\n"));
    assert_eq!(load(&path, model, zone).unwrap(), given);
}

#[test]
fn what_another_program_wrote_meanwhile_is_not_written_over() {
    let (scene, folder) = (scene(), TempDir::new().unwrap());
    let (model, zone) = (&scene.machine.shut, &scene.place.zone);
    let path = folder.path().join("m.toml");
    let text = "[[mark]]\npoint = \"coupler_front\"\nat_px = [100.0, 200]\n";
    std::fs::write(&path, text).unwrap();
    let (kept, given) = Kept::open(&path, model, zone).unwrap();
    std::fs::write(&path, "# another hand\n").unwrap();
    let told = kept.save(&given, model, zone).unwrap_err();
    assert_eq!(told, Unkept::Changed(path.clone()));
    assert!(told.to_string().contains("changed by another program"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "# another hand\n");
    // A file that is gone comes back.
    std::fs::remove_file(&path).unwrap();
    kept.save(&given, model, zone).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    for (wrong, told) in [
        (
            "mark = [{ point = \"coupler_front\", at_px = [1, 2] }]\n",
            "under [[mark]]",
        ),
        ("[[mark]]\npoint = 7\n", "point"),
    ] {
        std::fs::write(&path, wrong).unwrap();
        let said = match Kept::open(&path, model, zone) {
            Ok((kept, _)) => {
                let unkept = kept.save(&Given::default(), model, zone).unwrap_err();
                assert!(matches!(unkept, Unkept::Unreadable(_)), "{unkept:?}");
                unkept.to_string()
            }
            Err(said) => said,
        };
        assert!(said.contains(told), "{said}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), wrong);
    }
}

#[test]
fn marks_that_come_and_go_leave_no_empty_lines_behind() {
    let (scene, folder) = (scene(), TempDir::new().unwrap());
    let (model, zone) = (&scene.machine.shut, &scene.place.zone);
    let commented = "# mine\n[[mark]]\npoint = \"coupler_front\"\nat_px = [1, 2]\n\n# far\n[[mark]]\n\
                     point = \"coupler_rear\"\nat_px = [3, 4]\n";
    let names = ["cab_roof_front_left", "deck_rear_left", "deck_rear_right"];
    for (n, text) in [commented, "# empty\n", ""].into_iter().enumerate() {
        let path = folder.path().join(format!("{n}.toml"));
        if !text.is_empty() {
            std::fs::write(&path, text).unwrap();
        }
        let (mut kept, own) = Kept::open(&path, model, zone).unwrap();
        let mut first = None;
        for _ in 0..4 {
            let mut given = own.clone();
            for (n, name) in names.iter().enumerate() {
                given.marks.push(mark(&scene, name, 10.0 * n as f64, 5.0));
                kept = kept.save(&given, model, zone).unwrap();
            }
            let with = std::fs::read_to_string(&path).unwrap();
            assert_eq!(with, *first.get_or_insert(with.clone()));
            // One after the other, or all at once.
            given.marks.pop();
            kept = kept.save(&given, model, zone).unwrap();
            kept = kept.save(&own, model, zone).unwrap();
            let left = std::fs::read_to_string(&path).unwrap();
            let head = left.len() - text.len();
            assert_eq!(&left[head..], text, "{left:?}");
            assert_eq!(left[..head].matches('\n').count(), usize::from(n == 2));
        }
    }
}

#[test]
fn a_file_in_the_way_is_put_aside_under_a_name_that_nobody_has() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("IMG 7.jpg.marks.toml");
    assert_eq!(put_aside(&path).unwrap(), None);
    let named = |name: &str| folder.path().join(name);
    let names = ["", "-2", "-3"].map(|n| named(&format!("IMG 7.jpg.marks.aside{n}.toml")));
    for (n, name) in names.iter().enumerate() {
        std::fs::write(&path, format!("{n}")).unwrap();
        assert_eq!(put_aside(&path).unwrap().as_ref(), Some(name));
        assert!(!path.exists());
    }
    for (n, name) in names.iter().enumerate() {
        assert_eq!(std::fs::read_to_string(name).unwrap(), format!("{n}"));
    }
    // A folder of that name is in the way as well.
    std::fs::create_dir(&path).unwrap();
    let name = put_aside(&path).unwrap().unwrap();
    assert!(name.is_dir() && !path.exists());
}

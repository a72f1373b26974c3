//! A scene saved in its own file: every byte that was not meant stays, whatever hand the file is written in, and nothing
//! is written that reads back otherwise. May not enter: which frame is good.

use proptest::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use sunside::document::{Document, Edit, New};
use sunside::grade::{Rulebook, Studio};
use sunside::rehearsal::models::Models;
use sunside::rehearsal::setting::Setting;
use sunside::scene::edit::{Keep, Original, Unsaved};
use sunside::scene::equipment::EquipmentKind;
use sunside::scene::machine::{Condition, HeadEnd};
use sunside::scene::{DefaultFrame, Scene};
use sunside::sighting::cpu::Cpu;
use sunside::sky::daylight::SkyCondition;
use tempfile::TempDir;

/// A text with some keys set; what the parser then reads is for each test to say.
fn edited(text: &str, change: impl Fn(&mut Edit<'_>)) -> String {
    let mut edit = Edit::of(text).unwrap();
    change(&mut edit);
    let done = edit.finish();
    assert!(Edit::of(&done).is_some(), "no TOML any more:\n{done}");
    done
}

fn lens(mm: f64) -> impl Fn(&mut Edit<'_>) {
    move |edit| edit.set("frame", "lens_mm", &New::Number(mm, 1))
}

#[test]
fn a_value_is_exchanged_and_its_line_kept() {
    for (before, after) in [
        (
            "[frame]\nlens_mm = 50 # the normal one\n",
            "[frame]\nlens_mm = 58 # the normal one\n",
        ),
        (
            "[frame]\r\n\tlens_mm\t=\t50\t# tabs\r\n",
            "[frame]\r\n\tlens_mm\t=\t58\t# tabs\r\n",
        ),
        (
            "frame = { lens_mm = 50, height_m = 1 }",
            "frame = { lens_mm = 58, height_m = 1 }",
        ),
        ("frame.lens_mm=50\n[a]\n", "frame.lens_mm=58\n[a]\n"),
        (
            "[ 'frame' ]\n\"lens_mm\" = 5_0.0\n",
            "[ 'frame' ]\n\"lens_mm\" = 58\n",
        ),
        // The same already: not even the zeros go.
        ("[frame]\nlens_mm = 58.00", "[frame]\nlens_mm = 58.00"),
    ] {
        assert_eq!(edited(before, lens(58.0)), after);
    }
    let spot = |edit: &mut Edit<'_>| {
        edit.set("frame", "spot_m", &New::Numbers(vec![1.5, -0.001], 2));
    };
    assert_eq!(
        edited("frame.spot_m = [ 1.50, # east\n  7,\n]", spot),
        "frame.spot_m = [ 1.50, # east\n  0,\n]"
    );
    let words = |edit: &mut Edit<'_>| edit.set("sky", "condition", &New::Text("broken".into()));
    assert_eq!(
        edited("[sky]\ncondition = 'clear'", words),
        "[sky]\ncondition = 'broken'"
    );
}

#[test]
fn a_new_key_is_written_as_the_one_before_it() {
    for (before, after) in [
        (
            "[frame]\na = 1\n\n[b]\n",
            "[frame]\na = 1\nlens_mm = 58\n\n[b]\n",
        ),
        (
            "[frame]\n  a=1 # c\n# end\n",
            "[frame]\n  a=1 # c\n  lens_mm=58\n# end\n",
        ),
        ("[frame]\r\na = 1", "[frame]\r\na = 1\r\nlens_mm = 58\r\n"),
        (
            "[frame] # empty\n[b]\n",
            "[frame] # empty\nlens_mm = 58\n[b]\n",
        ),
        (
            "frame.a = [\n 1,\n]\n[b]\n",
            "frame.a = [\n 1,\n]\nframe.lens_mm = 58\n[b]\n",
        ),
        ("frame = { a = 1 }\n", "frame = { a = 1, lens_mm = 58 }\n"),
        ("frame = {}\n", "frame = { lens_mm = 58 }\n"),
        ("a = 1 # last", "a = 1 # last\n\n[frame]\nlens_mm = 58\n"),
        (
            "[frame.below]\na = 1\n",
            "[frame.below]\na = 1\n\n[frame]\nlens_mm = 58\n",
        ),
    ] {
        assert_eq!(edited(before, lens(58.0)), after);
    }
}

#[test]
fn a_key_goes_and_comments_stay() {
    let gone = |edit: &mut Edit<'_>| edit.remove("frame", "b");
    for (before, after) in [
        ("[frame]\na = 1\n b = 2\nc = 3\n", "[frame]\na = 1\nc = 3\n"),
        ("[frame]\n b = 2 # why\n", "[frame]\n # why\n"),
        ("[frame]\r\nb = [\r\n 2 ]\r\nc = 3", "[frame]\r\nc = 3"),
        (
            "frame = { a = 1, b = 2, c = 3 }",
            "frame = { a = 1, c = 3 }",
        ),
        ("frame = { b = 2, c = 3 }", "frame = { c = 3 }"),
        ("frame = { a = 1, b = 2 }", "frame = { a = 1 }"),
        ("frame.a = 1\nframe.b = 2\n", "frame.a = 1\n"),
        ("[frame]\na = 1\n", "[frame]\na = 1\n"),
    ] {
        assert_eq!(edited(before, gone), after);
    }
    // Over several lines, as TOML 1.1 has inline tables.
    let before = "frame = {\n a = 1, # one\n b = 2 # two\n}";
    let after = edited(before, gone);
    assert!(
        after.contains("# one") && after.contains("# two") && !after.contains("b ="),
        "{after}"
    );
    // The last key goes and another comes.
    let both = edited("[frame]\na = 1\nb = 2\n", |edit| {
        edit.remove("frame", "b");
        lens(58.0)(edit);
    });
    assert_eq!(both, "[frame]\na = 1\nlens_mm = 58\n");
    let both = edited("frame = { a = 1, b = 2 }", |edit| {
        edit.remove("frame", "b");
        lens(58.0)(edit);
    });
    assert_eq!(both, "frame = { a = 1, lens_mm = 58 }");
}

/// The box siding in a folder of its own, its text changed.
fn site(change: impl Fn(&str) -> String) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let models = Path::new("tests/models").canonicalize().unwrap();
    let text = fs::read_to_string("tests/scenes/box_siding.toml").unwrap();
    let text = change(&text.replace("../models", models.to_str().unwrap()));
    let path = folder.path().join("site.toml");
    fs::write(&path, text).unwrap();
    (folder, path)
}

fn moved(scene: &Scene) -> Scene {
    let mut wanted = scene.clone();
    let frame = &mut wanted.frame;
    frame.spot_m.x += 0.123;
    frame.lens_mm = 35.04;
    frame.heading_deg = Some(281.5678);
    frame.at = frame.at.map(|at| at + chrono::TimeDelta::minutes(95));
    wanted
}

#[test]
fn a_saved_frame_reads_back_and_only_its_lines_differ() {
    let (_folder, path) = site(|text| text.replace("lens_mm = 50\n", "lens_mm = 50 # borrowed\n"));
    let before = fs::read_to_string(&path).unwrap();
    let (original, scene) = Original::load(&path).unwrap();
    let (again, saved) = original.save(&moved(&scene), Keep::Frame).unwrap();
    let expected = before
        .replace("spot_m = [22, -22]", "spot_m = [22.12, -22]")
        .replace("lens_mm = 50 # borrowed", "lens_mm = 35 # borrowed")
        .replace("10:00\"\n", "11:35\"\nheading_deg = 281.57\n");
    assert_eq!(fs::read_to_string(&path).unwrap(), expected);
    assert_eq!(saved.frame.heading_deg, Some(281.57));
    // The heading that balances the margins is none of its own; saved once more, it is the old file again.
    let (_, last) = again.save(&scene, Keep::Frame).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
    assert_eq!(last.frame, scene.frame);
}

#[test]
fn the_time_is_written_as_the_file_has_it_and_tells_one_instant() {
    // New York sets its clock back on 2027-11-07 at 02:00: 01:30 comes twice (tz database).
    for (before, minutes, after) in [
        ("2027-11-07 00:30", 60, "2027-11-07 01:30-04:00"),
        ("2027-11-07 00:30", 120, "2027-11-07 01:30-05:00"),
        ("2027-11-07 00:30", 180, "2027-11-07 02:30"),
        ("2027-11-07T12:00:30", 1, "2027-11-07T12:01:30"),
        ("2027-11-07T12:00Z", 60, "2027-11-07T13:00Z"),
        ("2027-11-07 12:00-06:00", 60, "2027-11-07 14:00-05:00"),
    ] {
        let (_folder, path) = site(|text| {
            text.replace("America/Chicago", "America/New_York")
                .replace("2027-05-14 10:00", before)
        });
        let (original, scene) = Original::load(&path).unwrap();
        let mut wanted = scene.clone();
        wanted.frame.at = scene
            .frame
            .at
            .map(|at| at + chrono::TimeDelta::minutes(minutes));
        let (_, saved) = original.save(&wanted, Keep::Frame).unwrap();
        assert_eq!(saved.frame.at, wanted.frame.at);
        let text = fs::read_to_string(&path).unwrap();
        assert!(
            text.contains(&format!("at = \"{after}\"")),
            "{before}: {text}"
        );
    }
}

#[test]
fn a_scene_as_rehearsed_keeps_what_was_tried_of_it() {
    let (folder, path) = site(|text| text.to_string());
    let (original, scene) = Original::load(&path).unwrap();
    let mut setting = Setting::of(&scene);
    setting.head_end = HeadEnd::First;
    setting.chainage_m = 103.456;
    setting.condition = Condition::Dirty;
    setting.coupled_rear = Some(EquipmentKind::Hopper);
    setting.sky = SkyCondition::Overcast;
    setting.kit.f_number = 5.6;
    setting.kit.lenses_mm = vec![35.0, 90.0];
    setting.model = "two_boxes".into();
    (setting.weeds_cut, setting.people_gone) = (true, true);
    let wanted = setting.scene(&scene, &Models::beside(&scene)).unwrap();
    let (again, saved) = original.save(&wanted, Keep::AsRehearsed).unwrap();
    setting.chainage_m = 103.46;
    assert_eq!(Setting::of(&saved), setting);
    // The frame alone leaves the rest.
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.ends_with("\n[cleared]\nweeds = true\npeople = true\n"));
    again.save(&moved(&scene), Keep::Frame).unwrap();
    let framed = fs::read_to_string(&path).unwrap();
    assert!(framed.contains("chainage_m = 103.46") && framed != text);
    // In another folder the model is named from there.
    let other = folder.path().join("deep");
    fs::create_dir(&other).unwrap();
    let (_, copied) = again
        .save_as(&other.join("copy.toml"), &wanted, Keep::AsRehearsed, false)
        .unwrap();
    assert_eq!(Setting::of(&copied), setting);
}

#[test]
fn a_saved_stand_is_the_stand_again_balanced_or_not() {
    let (_folder, path) = site(|text| text.to_string());
    let (mut original, scene) = Original::load(&path).unwrap();
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene.clone(), &book, &cpu, None);
    let at = scene.frame.at.unwrap();
    let mut stand = studio.default_stand();
    (stand.spot_m.y, stand.height_m, stand.pitch_deg) = (-24.567, 1.234, 1.5);
    let balanced_deg = studio.balanced_heading_deg(&stand);
    for (heading_deg, is_own) in [(balanced_deg, false), (balanced_deg + 2.0, true)] {
        stand.heading_deg = heading_deg;
        let mut wanted = scene.clone();
        wanted.frame = studio.frame_of(&stand, at);
        let (next, saved) = original.save(&wanted, Keep::Frame).unwrap();
        assert_eq!(saved.frame.heading_deg.is_some(), is_own);
        original = next;
        let again = Studio::new(saved, &book, &cpu, Some(&studio)).default_stand();
        // Half a centimetre at 20 m is 0.015 degrees.
        assert!((again.heading_deg - heading_deg).abs() < 0.025, "{again:?}");
        assert!((again.spot_m - stand.spot_m).length() < 0.0051);
    }
}

#[test]
fn nothing_is_lost_where_a_scene_cannot_be_saved() {
    let (_folder, path) = site(|text| text.to_string());
    let (original, scene) = Original::load(&path).unwrap();
    let text = fs::read_to_string(&path).unwrap();
    // From between the rails no frame may be taken.
    let mut wanted = scene.clone();
    wanted.frame.spot_m = glam::DVec2::ZERO;
    let error = original.save(&wanted, Keep::Frame).unwrap_err();
    assert!(matches!(error, Unsaved::Unsound(_)), "{error}");
    assert!(error.to_string().contains("frame.spot_m"), "{error}");
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions.clone()).unwrap();
    let error = original.save(&moved(&scene), Keep::Frame).unwrap_err();
    assert!(
        error
            .to_string()
            .ends_with("is read-only: save under another name"),
        "{error}"
    );
    #[allow(clippy::permissions_set_readonly_false)] // a file of the test's own, soon gone
    permissions.set_readonly(false);
    fs::set_permissions(&path, permissions).unwrap();
    let missing = path.with_file_name("no").join("site.toml");
    let error = original
        .save_as(&missing, &moved(&scene), Keep::Frame, false)
        .unwrap_err();
    assert!(error.to_string().contains("does not exist"), "{error}");
    fs::write(&path, text.clone() + "# somebody was here\n").unwrap();
    assert!(!original.is_as_loaded());
    let error = original.save(&moved(&scene), Keep::Frame).unwrap_err();
    assert!(matches!(error, Unsaved::Changed(_)), "{error}");
    assert!(
        fs::read_to_string(&path)
            .unwrap()
            .ends_with("# somebody was here\n")
    );
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_permissions_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (folder, path) = site(|text| text.to_string());
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
    let link = folder.path().join("link.toml");
    symlink(&path, &link).unwrap();
    let (original, scene) = Original::load(&link).unwrap();
    original.save(&moved(&scene), Keep::Frame).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert!(fs::read_to_string(&path).unwrap().contains("heading_deg"));
    assert_eq!(
        fs::metadata(&path).unwrap().permissions().mode() & 0o777,
        0o640
    );
}

/// The frame of the box siding in other hands.
fn in_hand(hand: usize, text: &str) -> String {
    let at = text.find("[frame]").unwrap();
    let rest = &text[..at];
    match hand {
        0 => text.replace('\n', "\r\n"),
        1 => text
            .replace(" = ", "\t=\t")
            .replace("\nlens_mm", "\n\tlens_mm"),
        2 => format!(
            "frame = {{ spot_m = [22, -22], lens_mm = 50, height_m = 1.6, at = '2027-05-14 10:00' }} # all\n{rest}"
        ),
        3 => format!(
            "frame.spot_m = [22,-22]\nframe . lens_mm = 50 # mm\nframe.height_m=1.6\nframe.at=\"2027-05-14T10:00\"\n{rest}"
        ),
        4 => format!("\u{feff}{text}"),
        5 => text.trim_end().to_string(),
        _ => text.replace(
            "[frame]",
            "[frame] # mine\n# a line of its own\n\npitch_deg = 0.0 # level\n",
        ),
    }
}

#[test]
fn whatever_the_hand_a_frame_is_saved_and_taken_back() {
    for hand in 0..7 {
        let (_folder, path) = site(|text| in_hand(hand, text));
        let before = fs::read(&path).unwrap();
        let (original, scene) = Original::load(&path).unwrap();
        let (again, saved) = original.save(&moved(&scene), Keep::Frame).unwrap();
        assert_eq!(saved.frame.lens_mm, 35.0, "hand {hand}");
        let text = fs::read_to_string(&path).unwrap();
        let bare = text.replace("\r\n", "");
        assert!(
            hand != 0 || !bare.contains('\n'),
            "a line end of another kind"
        );
        assert_eq!(text.starts_with('\u{feff}'), hand == 4);
        let (_, back) = again.save(&scene, Keep::Frame).unwrap();
        assert_eq!(back.frame, scene.frame, "hand {hand}");
        let end = if hand == 5 { "\n" } else { "" };
        let wanted = String::from_utf8(before).unwrap() + end;
        assert_eq!(fs::read_to_string(&path).unwrap(), wanted, "hand {hand}");
    }
}

#[test]
fn every_shipped_scene_is_saved_and_taken_back_to_the_byte() {
    let models = Path::new("models").canonicalize().unwrap();
    for entry in fs::read_dir("scenes").unwrap() {
        let shipped = entry.unwrap().path();
        let text = fs::read_to_string(&shipped).unwrap();
        let text = text.replace("../models", models.to_str().unwrap());
        let folder = TempDir::new().unwrap();
        let path = folder.path().join("site.toml");
        fs::write(&path, &text).unwrap();
        let (original, scene) = Original::load(&path).unwrap();
        // What is the same already is not even written.
        let untouched = fs::metadata(&path).unwrap().modified().unwrap();
        original.save(&scene, Keep::AsRehearsed).unwrap();
        assert_eq!(fs::metadata(&path).unwrap().modified().unwrap(), untouched);
        let mut wanted = moved(&scene);
        wanted.frame.spot_m = scene.frame.spot_m;
        wanted.machine.condition = Condition::Filthy;
        wanted.sky = SkyCondition::Broken;
        let (again, _) = original.save(&wanted, Keep::AsRehearsed).unwrap();
        assert_ne!(fs::read_to_string(&path).unwrap(), text);
        again.save(&scene, Keep::AsRehearsed).unwrap();
        let back = fs::read_to_string(&path).unwrap();
        // A key that was added for a while stays with the value that a missing one has.
        assert_eq!(
            back.replace("condition = \"clean\"\n", ""),
            text,
            "{}",
            shipped.display()
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn only_the_lines_of_changed_keys_differ(
        hand in 0_usize..7,
        east in 15.0..50.0_f64, north in -50.0..50.0_f64,
        lens in 20.0..200.0_f64, height in 0.5..3.0_f64,
        heading in proptest::option::of(0.0..360.0_f64),
        pitch in prop_oneof![Just(0.0), -20.0..20.0_f64], roll in prop_oneof![Just(0.0), -5.0..5.0_f64],
        minutes in -300_i64..300,
    ) {
        let (_folder, path) = site(|text| in_hand(hand, text));
        let before = fs::read_to_string(&path).unwrap();
        let (original, scene) = Original::load(&path).unwrap();
        let mut wanted = scene.clone();
        wanted.frame = DefaultFrame {
            spot_m: glam::DVec2::new(east, north),
            lens_mm: lens,
            height_m: height,
            heading_deg: heading,
            pitch_deg: pitch,
            roll_deg: roll,
            at: scene.frame.at.map(|at| at + chrono::TimeDelta::minutes(minutes)),
        };
        let (_, saved) = original.save(&wanted, Keep::Frame).unwrap();
        // Rounding is stated: 0.01 m, 0.1 mm, 0.01 degrees.
        prop_assert!((saved.frame.spot_m - wanted.frame.spot_m).abs().max_element() <= 0.005 + 1e-9);
        prop_assert!((saved.frame.lens_mm - lens).abs() <= 0.05 + 1e-9);
        prop_assert_eq!(saved.frame.heading_deg.is_some(), heading.is_some());
        prop_assert_eq!(saved.frame.at, wanted.frame.at);
        let after = fs::read_to_string(&path).unwrap();
        let keys = ["spot_m", "lens_mm", "height_m", "heading_deg", "pitch_deg", "roll_deg", "at"];
        let others = |text: &str| -> Vec<String> {
            let of_frame = |line: &&str| {
                let line = line.trim_start_matches('\u{feff}').trim_start();
                let key = line.split('=').next().unwrap_or_default().trim();
                let key = key.trim_start_matches("frame").trim_start_matches([' ', '.']);
                line.contains('=') && (keys.contains(&key) || line.starts_with("frame ="))
            };
            text.split('\n').filter(|line| !of_frame(line)).map(str::to_string).collect()
        };
        let [after_others, before_others] = [&after, &before].map(|text| others(text).join("\n"));
        prop_assert_eq!(after_others.trim_end(), before_others.trim_end());
        for comment in ["# all", "# mm", "# mine", "# level", "# The box machine"] {
            prop_assert_eq!(after.contains(comment), before.contains(comment));
        }
        Document::parse("f", after.as_bytes());
    }
}

#[test]
fn under_another_name_no_model_and_no_other_scene_is_replaced_unasked_nor_changes_of_the_own_file()
{
    let (folder, path) = site(|text| text.to_string());
    let (original, scene) = Original::load(&path).unwrap();
    let model = &scene.machine.model_file;
    let before = fs::read(model).unwrap();
    let save =
        |path: &Path, replaces| original.save_as(path, &moved(&scene), Keep::Frame, replaces);
    for replaces in [false, true] {
        let error = save(model, replaces).unwrap_err();
        assert!(matches!(error, Unsaved::NoScene(_)), "{error}");
        assert_eq!(fs::read(model).unwrap(), before);
    }
    let other = path.with_file_name("other.toml");
    fs::copy(&path, &other).unwrap();
    let text = fs::read(&other).unwrap();
    let error = save(&other, false).unwrap_err();
    assert!(matches!(error, Unsaved::Exists(_)), "{error}");
    assert_eq!(fs::read(&other).unwrap(), text);
    save(&other, true).unwrap();
    assert_ne!(fs::read(&other).unwrap(), text);
    // The own file, changed outside, by a roundabout way.
    fs::write(&path, [&text[..], b"# somebody was here\n"].concat()).unwrap();
    let own = path.parent().unwrap();
    let about = own
        .join("..")
        .join(own.file_name().unwrap())
        .join(path.file_name().unwrap());
    for replaces in [false, true] {
        let error = save(&about, replaces).unwrap_err();
        assert!(matches!(error, Unsaved::Changed(_)), "{error}");
    }
    assert!(fs::read(&path).unwrap().ends_with(b"# somebody was here\n"));
    drop(folder);
}

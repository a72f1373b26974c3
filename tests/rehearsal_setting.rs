//! What is tried of a site: a scene made from a setting is the site changed in that and in nothing else, and what cannot
//! be had is refused in a sentence. May not enter: grades.

use std::path::Path;
use std::sync::Arc;
use sunside::document::Document;
use sunside::rehearsal::models::Models;
use sunside::rehearsal::setting::Setting;
use sunside::scene::Scene;
use sunside::scene::clearing::is_weeds;
use sunside::scene::equipment::EquipmentKind;
use sunside::scene::machine::{Condition, HeadEnd};
use sunside::scene::surroundings::Kind;
use sunside::sky::daylight::SkyCondition;

/// The box siding, in which a boxcar may stand, with weeds, a low bush, a high one and somebody beside it.
fn site(more: &str) -> Scene {
    let file = "tests/scenes/box_siding.toml";
    let text = std::fs::read_to_string(file).unwrap() + more;
    let document = Document::parse(file, text.as_bytes());
    Scene::read(document, Path::new(file)).unwrap_or_else(|problems| panic!("{problems}"))
}

const GROWTH: &str = "
[[bush]]
name = \"weeds\"
kind = \"weeds\"
position_m = [5, 4]
width_m = 1
height_m = 1.2
[[bush]]
name = \"low bush\"
position_m = [5, 8]
width_m = 1
height_m = 0.6
[[bush]]
name = \"sumac\"
position_m = [5, 12]
width_m = 2
height_m = 1.5
[[person]]
name = \"crew\"
position_m = [4, 0]
";

const BOXCAR: &str = "
[[equipment]]
name = \"stored boxcar\"
kind = \"boxcar\"
track = \"siding\"
chainage_m = 150
";

fn names(scene: &Scene) -> Vec<&str> {
    let all = scene.surroundings.iter();
    all.map(|object| object.name.as_str()).collect()
}

#[test]
fn the_scene_of_its_own_setting_is_the_scene() {
    for file in [
        "tests/scenes/box_siding.toml",
        "tests/scenes/sampler_yard.toml",
    ] {
        let scene = Scene::load(Path::new(file)).unwrap();
        let models = Models::beside(&scene);
        let setting = Setting::of(&scene);
        let same = setting.scene(&scene, &models).unwrap();
        assert!(Arc::ptr_eq(&same.machine.model, &scene.machine.model));
        assert_eq!(format!("{same:?}"), format!("{scene:?}"), "{file}");
        assert!(setting.differences(&setting, &scene).is_empty());
    }
}

#[test]
fn each_change_is_made_and_told_and_nothing_else() {
    let scene = site(GROWTH);
    let models = Models::beside(&scene);
    let own = Setting::of(&scene);
    let tried = |change: &dyn Fn(&mut Setting)| {
        let mut setting = own.clone();
        change(&mut setting);
        let words = setting.differences(&own, &scene);
        assert_eq!(words.len(), 1, "{words:?}");
        (setting.scene(&scene, &models).unwrap(), words[0].clone())
    };
    // The track runs from north to south, and its second end leads: the machine faces south.
    let (turned, words) = tried(&|setting| setting.head_end = HeadEnd::First);
    assert_eq!(words, "the end toward the north leads");
    assert!((turned.machine.forward_bearing_deg() - 0.0).abs() < 1e-9);
    let (moved, words) = tried(&|setting| setting.chainage_m += 10.0);
    assert_eq!(words, "10.0 m toward the south");
    assert!((moved.machine.centre_m.y + 10.0).abs() < 1e-9);
    let (_, words) = tried(&|setting| setting.chainage_m -= 0.25);
    assert_eq!(words, "0.25 m toward the north");
    let (coupled, words) = tried(&|setting| setting.coupled_rear = Some(EquipmentKind::TankCar));
    assert_eq!(words, "a tank car coupled at the rear");
    assert!(
        coupled.machine.coupled_rear && names(&coupled).contains(&"tank-car coupled at the rear")
    );
    let (filthy, words) = tried(&|setting| setting.condition = Condition::Filthy);
    assert_eq!(
        (filthy.machine.condition, words.as_str()),
        (Condition::Filthy, "filthy")
    );
    let (cloudy, words) = tried(&|setting| setting.sky = SkyCondition::ThinCirrus);
    assert_eq!(words, "a sky of thin cirrus");
    assert_eq!(cloudy.sky, SkyCondition::ThinCirrus);
    let (cut, words) = tried(&|setting| setting.weeds_cut = true);
    assert_eq!(
        (names(&cut), words.as_str()),
        (vec!["pole", "sumac", "crew"], "weeds cut")
    );
    let (alone, words) = tried(&|setting| setting.people_gone = true);
    assert_eq!(words, "people gone");
    assert!(
        alone
            .surroundings
            .iter()
            .all(|object| object.kind != Kind::Person)
    );
    let (other, words) = tried(&|setting| setting.kit.film.width_mm = 24.0);
    assert_eq!(
        (other.kit.film.width_mm, words.as_str()),
        (24.0, "film 24 × 24 mm")
    );
    let (_, words) = tried(&|setting| setting.kit.lenses_mm = vec![35.0, 90.0]);
    assert_eq!(words, "lenses of 35, 90 mm");
}

#[test]
fn what_the_scene_has_cleared_stands_there_again_when_it_is_not() {
    let scene = site(&format!("{GROWTH}[cleared]\nweeds = true\npeople = true\n"));
    assert_eq!(names(&scene), ["pole", "sumac"]);
    let models = Models::beside(&scene);
    let own = Setting::of(&scene);
    assert!(own.weeds_cut && own.people_gone);
    assert_eq!(names(&own.scene(&scene, &models).unwrap()), names(&scene));
    let mut setting = own.clone();
    setting.weeds_cut = false;
    assert_eq!(setting.differences(&own, &scene), ["weeds uncut"]);
    let grown = setting.scene(&scene, &models).unwrap();
    assert_eq!(names(&grown), ["pole", "sumac", "weeds", "low bush"]);
    // And away again, from that.
    assert_eq!(
        names(&own.scene(&grown, &models).unwrap()),
        ["pole", "sumac"]
    );
}

#[test]
fn weeds_are_weeds_by_kind_or_by_height() {
    let scene = site(GROWTH);
    let weeds = scene.surroundings.iter().filter(|object| is_weeds(object));
    let weeds: Vec<&str> = weeds.map(|object| object.name.as_str()).collect();
    assert_eq!(weeds, ["weeds", "low bush"]);
}

#[test]
fn another_model_stands_there_with_the_same_arc_each_time() {
    let scene = site("");
    let models = Models::beside(&scene);
    let offered: Vec<&str> = models
        .offered()
        .iter()
        .map(|one| one.name.as_str())
        .collect();
    assert_eq!(offered, ["box_machine", "two_boxes"]);
    let mut setting = Setting::of(&scene);
    setting.model = "two_boxes".into();
    let [first, second] = [(); 2].map(|()| setting.scene(&scene, &models).unwrap().machine);
    assert!(Arc::ptr_eq(&first.model, &second.model));
    assert_eq!(first.model_file, Path::new("tests/models/two_boxes.toml"));
    assert_eq!(
        setting.differences(&Setting::of(&scene), &scene),
        ["the model two boxes"]
    );
}

#[test]
fn doors_swing_and_shut_again_to_the_very_same_model() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let models = Models::beside(&scene);
    assert_eq!(models.offered().len(), 4);
    let mut setting = Setting::of(&scene);
    setting.doors_open = true;
    let open = setting.scene(&scene, &models).unwrap();
    let by_hand = scene.machine.model.with_doors_open();
    assert_eq!(open.machine.model.vertices, by_hand.vertices);
    assert_eq!(
        setting.differences(&Setting::of(&scene), &scene),
        ["doors open"]
    );
    setting.doors_open = false;
    // From the open one: the shut model is known.
    let shut = setting.scene(&open, &Models::beside(&open)).unwrap();
    assert!(Arc::ptr_eq(&shut.machine.model, &scene.machine.model));
}

#[test]
fn what_cannot_be_had_is_refused_in_a_sentence() {
    let scene = site(BOXCAR);
    let models = Models::beside(&scene);
    let refused = |change: &dyn Fn(&mut Setting)| {
        let mut setting = Setting::of(&scene);
        change(&mut setting);
        setting.scene(&scene, &models).unwrap_err().to_string()
    };
    // The box machine is 21 m long on a track of 200 m.
    let off = refused(&|setting| setting.chainage_m = 195.0);
    assert_eq!(
        off,
        "the machine stands off its track, which is 200.00 m long: from 10.50 to 189.50 m allowed"
    );
    // The boxcar, 16.8 m long, begins at 141.6 m; the machine ends 10.5 m beyond its centre.
    let into = refused(&|setting| setting.chainage_m = 132.0);
    assert_eq!(into, "there it would stand in the stored boxcar");
    // Its second end leads: what is coupled in front, 18 m long, ends 28.5 m beyond its centre.
    let coupled = refused(&|setting| {
        setting.chainage_m = 120.0;
        setting.coupled_front = Some(EquipmentKind::Hopper);
    });
    assert_eq!(coupled, "there it would stand in the stored boxcar");
    let none = refused(&|setting| setting.model = "no_such".into());
    assert_eq!(none, "no model is called no_such");
    let bare = refused(&|setting| setting.kit.lenses_mm.clear());
    assert_eq!(bare, "the kit has no lens: at least one is needed");
    let wide = refused(&|setting| setting.kit.f_number = 0.5);
    assert_eq!(wide, "f/0.5: 0.7 to 64 allowed");
    let strip = refused(&|setting| setting.kit.film.width_mm = 200.0);
    assert!(strip.contains("is a strip of film"), "{strip}");
    let mut touching = Setting::of(&scene);
    touching.chainage_m = 131.1;
    touching.scene(&scene, &models).unwrap();
    touching.coupled_rear = Some(EquipmentKind::Hopper);
    touching.scene(&scene, &models).unwrap();
}

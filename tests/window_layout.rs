//! The layout holds at every size: nothing that can be pressed lies outside the window or over another, everything has a
//! name, the frame is the largest thing. May not enter: what panels do.

use crate::window::{BOX, Size, Window};
use egui::accessibility::is_input;
use egui::{Key, Modifiers, Rect};
use egui_kittest::kittest::NodeT;

const SIZES: [Size; 4] = [
    Size(1024.0, 700.0, 1.0),
    Size(1280.0, 720.0, 1.0),
    Size(1920.0, 1080.0, 1.0),
    Size(1280.0, 800.0, 2.0),
];

/// Everything that can be acted on, with its name and place.
fn widgets(window: &Window) -> Vec<(String, Rect)> {
    let nodes = window.harness.root().children_recursive();
    let acts = nodes.filter(|node| {
        let node = node.accesskit_node();
        is_input(node.role()) && !node.is_hidden()
    });
    let lens = window.places("Lens");
    let foot = lens.first().map_or(f32::INFINITY, |place| place.top());
    let mut all: Vec<(String, Rect)> = acts
        .map(|node| {
            (
                node.accesskit_node().label().unwrap_or_default(),
                node.rect(),
            )
        })
        .collect();
    // A list of slides is cut where the camera's row begins, and scrolled.
    for (name, place) in &mut all {
        if name.starts_with("Frame ") && place.center().x > 244.0 {
            place.max.y = place.max.y.min(foot - 20.0);
        }
    }
    all
}

/// What is wrong with a page.
fn faults(window: &Window, Size(width, height, _): Size, told: &str) -> Vec<String> {
    let page = Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(width, height)).expand(0.5);
    let all = widgets(window);
    let mut faults = vec![];
    for (i, (name, place)) in all.iter().enumerate() {
        // Below the foot of a list things are scrolled to; beside the page nothing is.
        if place.left() < page.left() || place.right() > page.right() {
            faults.push(format!("{told}: {name:?} lies outside at {place}"));
        }
        for (other, its) in &all[i + 1..] {
            let shared = place.intersect(*its);
            let inside = place.contains_rect(*its) || its.contains_rect(*place);
            if shared.width() > 1.0 && shared.height() > 1.0 && !inside {
                faults.push(format!(
                    "{told}: {name:?} {place} and {other:?} {its} overlap"
                ));
            }
        }
    }
    faults.extend(
        window
            .harness
            .unnamed_widgets()
            .into_iter()
            .map(|one| format!("{told}: no name: {one}")),
    );
    // egui paints its warnings over the page.
    let shapes = format!("{:?}", window.harness.output().shapes);
    for warning in ["First use of", "Second use of", "Double use of"] {
        if shapes.contains(warning) {
            faults.push(format!("{told}: {warning} an id"));
        }
    }
    faults
}

#[test]
fn nothing_overlaps_or_leaves_the_page_at_any_size() {
    let mut all = vec![];
    let Some(mut window) = Window::sized(BOX, SIZES[0]) else {
        return;
    };
    for size in SIZES {
        window.resize(size);
        let see = |window: &mut Window, told: &str| -> Vec<String> {
            window.harness.remove_cursor();
            window.harness.run_steps(3);
            faults(window, size, &format!("{size:?}, {told}"))
        };
        for tab in ["Ground", "What if", "Find", "Files"] {
            let lefts = window.places(tab);
            // The tabs stand at the left, the doors at the head on the right.
            let column = window.place("Lens").left();
            let tab_at = lefts
                .iter()
                .min_by(|a, b| a.left().total_cmp(&b.left()))
                .unwrap();
            window.press_at(tab_at.center());
            all.extend(see(&mut window, tab));
            // What begins in the column ends in it.
            for (name, place) in widgets(&window) {
                let begins = place.left() < column - 40.0 && place.top() >= tab_at.top();
                if begins && place.right() > column {
                    all.push(format!(
                        "{size:?}, {tab}: {name:?} leaves the column at {place}"
                    ));
                }
            }
        }
        window.press("Ground");
        let (frame, ground) = (window.place("Frame"), window.place("Ground pane"));
        if frame.area() <= ground.area() {
            all.push(format!(
                "{size:?}: the ground {ground} is larger than the frame {frame}"
            ));
        }
        window.key(Modifiers::NONE, Key::Y);
        all.extend(see(&mut window, "the year"));
        window.key(Modifiers::NONE, Key::Y);
        window.key(Modifiers::NONE, Key::Space);
        all.extend(see(&mut window, "the tray"));
        window.key(Modifiers::NONE, Key::C);
        all.extend(see(&mut window, "side by side"));
        window.key(Modifiers::NONE, Key::C);
        window.key(Modifiers::NONE, Key::X);
        window.until("the strip has come", |window| {
            window
                .desk()
                .strip
                .as_ref()
                .is_some_and(|(_, sheet)| sheet.is_some())
        });
        all.extend(see(&mut window, "the lenses"));
        window.key(Modifiers::NONE, Key::X);
        window.key(Modifiers::NONE, Key::F1);
        window.harness.run_steps(3);
        let list = window.place("Words of a command");
        if !Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(size.0, size.1)).contains_rect(list) {
            all.push(format!("{size:?}: the list of commands lies at {list}"));
        }
        // As the next size finds it.
        window.key(Modifiers::NONE, Key::Escape);
        window.press("Drop");
        window.key(Modifiers::NONE, Key::Tab);
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

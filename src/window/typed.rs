//! A number that is dragged, or typed over. May not enter: which numbers there are.

use egui::{DragValue, Key, Response, Ui};
use std::cell::RefCell;

/// Adds a field whose text is taken over when it is left; what was typed comes back where `parse` finds nothing in it: the
/// value stays as it was, and somebody should say so.
pub fn number(
    ui: &mut Ui,
    field: DragValue,
    parse: impl Fn(&str) -> Option<f64>,
) -> (Response, Option<String>) {
    let refused = RefCell::new(None);
    // What Escape took back stays taken back until the field is typed into again, in whichever redraw its text is read.
    let memory = ui.next_auto_id().with("cancelled");
    if ui.input(|input| input.key_pressed(Key::Escape)) {
        ui.data_mut(|data| data.insert_temp(memory, true));
    }
    let cancelled = ui.data(|data| data.get_temp(memory).unwrap_or(false));
    // Not while it is typed: the first digit of a longer lens is another lens.
    let field = field.update_while_editing(false).custom_parser(|text| {
        if cancelled {
            return None;
        }
        let read = parse(text);
        // Nothing at all is no mistake.
        if read.is_none() && !text.trim().is_empty() {
            *refused.borrow_mut() = Some(text.trim().to_string());
        }
        read
    });
    let response = ui.add(field);
    if response.gained_focus() {
        ui.data_mut(|data| data.insert_temp(memory, false));
    }
    (response, refused.into_inner())
}

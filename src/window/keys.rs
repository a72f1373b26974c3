//! Commands by keyboard. While words are typed into a field, keys are letters. May not enter: what commands do.

use crate::rehearsal::command::{Chord, Listed};
use egui::{Context, Event, Key, Modifiers};

/// Commands whose keys were pressed since the last redraw, in their order; the keys are used up. `typed` says whether words
/// were typed then: a key that leaves the field, such as Escape, is the field's as well. Keys of commands that are not
/// `open` are left alone.
pub fn pressed<C: Listed>(ctx: &Context, typed: bool, open: impl Fn(C) -> bool) -> Vec<C> {
    let typing = typed || ctx.text_edit_focused();
    let mut commands = vec![];
    let mut swallowed = false;
    ctx.input_mut(|input| {
        input.events.retain(|event| {
            let Event::Key {
                key,
                pressed: true,
                modifiers,
                repeat,
                ..
            } = event
            else {
                return true;
            };
            if typing && !modifiers.command && !is_function(*key) {
                return true;
            }
            // What belongs to a field's own text is not done to the frame.
            let edits = [Key::Z, Key::Y, Key::A, Key::C, Key::V, Key::X];
            if typing && edits.contains(key) {
                return true;
            }
            match command_of(*key, modifiers).filter(|command| open(*command)) {
                Some(command) => {
                    if !repeat || command.repeats() {
                        commands.push(command);
                    }
                    swallowed = true;
                    false
                }
                None => true,
            }
        });
        // What a key types would reach the next field.
        if swallowed {
            input
                .events
                .retain(|event| !matches!(event, Event::Text(_)));
        }
    });
    commands
}

/// A function key types nothing: fields leave it alone.
fn is_function(key: Key) -> bool {
    let number = key.name().strip_prefix('F');
    number.is_some_and(|number| number.parse::<u8>().is_ok())
}

fn command_of<C: Listed>(key: Key, modifiers: &Modifiers) -> Option<C> {
    let of = |shift: bool| {
        let is = |chord: &Chord| {
            Key::from_name(chord.key) == Some(key)
                && chord.ctrl == modifiers.command
                && chord.shift == shift
                && chord.alt == modifiers.alt
        };
        let serves = |command: &&C| command.entry().chords.iter().any(is);
        C::ALL.iter().find(serves).copied()
    };
    // Plus and slash are typed with Shift on some keyboards: where nothing else is meant, they mean themselves.
    let signs = [Key::Plus, Key::Slash];
    of(modifiers.shift).or_else(|| signs.contains(&key).then(|| of(false)).flatten())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearsal::command::Command;
    use crate::rehearsal::marking::command::MarkCommand;

    fn serves<C: Listed + std::fmt::Debug>() {
        for command in C::ALL {
            for chord in command.entry().chords {
                assert!(Key::from_name(chord.key).is_some(), "{}", chord.key);
                let modifiers = Modifiers {
                    command: chord.ctrl,
                    shift: chord.shift,
                    alt: chord.alt,
                    ..Modifiers::NONE
                };
                let key = Key::from_name(chord.key).unwrap();
                assert_eq!(command_of(key, &modifiers), Some(*command));
            }
        }
    }

    #[test]
    fn every_chord_is_a_key_that_there_is() {
        serves::<Command>();
        serves::<MarkCommand>();
    }
}

//! What can be done while points are marked in a photograph, with names, keys and reasons. May not enter: how it is done.

use crate::rehearsal::command::{Chord, Entry, Family, Listed, alt, commands, ctrl, key, shift};

commands! {
    MarkCommand, "What can be done to marks.";

    TakePlace, Mark, "Mark the point where the cross is", "Six points give the camera's place; each further one makes it surer.", [key("Enter")];
    Helpful, Mark, "The point that helps most", "Points far from those marked, at both ends, high and low, fix the camera best.", [key("N")];
    NextPoint, Mark, "Next point", "Of the list, as far as the camera sees them; the cross goes where it is marked or expected.", [key("Tab")];
    PreviousPoint, Mark, "Point before", "Of the list, as far as the camera sees them; the cross goes where it is marked or expected.", [shift("Tab")];
    RemoveMark, Mark, "Take the mark away", "Of the point that is chosen.", [key("Delete"), key("Backspace")];
    ToExpected, Mark, "Cross to where the point is expected", "To its mark first; from there, or without one, to where the fit so far has it.", [key("E")];
    NudgeLeft, Mark, "One pixel left", "Moves the mark that was placed last, else the cross.", [key("ArrowLeft")];
    NudgeRight, Mark, "One pixel right", "Moves the mark that was placed last, else the cross.", [key("ArrowRight")];
    NudgeUp, Mark, "One pixel up", "Moves the mark that was placed last, else the cross.", [key("ArrowUp")];
    NudgeDown, Mark, "One pixel down", "Moves the mark that was placed last, else the cross.", [key("ArrowDown")];
    NudgeLeftFine, Mark, "A tenth of a pixel left", "A corner's edges meet between pixels.", [shift("ArrowLeft")];
    NudgeRightFine, Mark, "A tenth of a pixel right", "A corner's edges meet between pixels.", [shift("ArrowRight")];
    NudgeUpFine, Mark, "A tenth of a pixel up", "A corner's edges meet between pixels.", [shift("ArrowUp")];
    NudgeDownFine, Mark, "A tenth of a pixel down", "A corner's edges meet between pixels.", [shift("ArrowDown")];
    CrossLeftCoarse, Mark, "Cross 10 pixels left", "Lets go of the mark that was placed last.", [alt("ArrowLeft")];
    CrossRightCoarse, Mark, "Cross 10 pixels right", "Lets go of the mark that was placed last.", [alt("ArrowRight")];
    CrossUpCoarse, Mark, "Cross 10 pixels up", "Lets go of the mark that was placed last.", [alt("ArrowUp")];
    CrossDownCoarse, Mark, "Cross 10 pixels down", "Lets go of the mark that was placed last.", [alt("ArrowDown")];
    CrossLeftFar, Mark, "Cross 100 pixels left", "Lets go of the mark that was placed last.", [ctrl("ArrowLeft")];
    CrossRightFar, Mark, "Cross 100 pixels right", "Lets go of the mark that was placed last.", [ctrl("ArrowRight")];
    CrossUpFar, Mark, "Cross 100 pixels up", "Lets go of the mark that was placed last.", [ctrl("ArrowUp")];
    CrossDownFar, Mark, "Cross 100 pixels down", "Lets go of the mark that was placed last.", [ctrl("ArrowDown")];
    OtherSide, Mark, "The machine shows its other side", "Which points are asked for first: those that face the camera.", [key("T")];

    ZoomIn, Show, "Nearer", "Zooms in about the cross. The wheel does the same.", [key("Plus"), key("Equals")];
    ZoomOut, Show, "Farther", "Zooms out about the cross. The wheel does the same.", [key("Minus")];
    Whole, Show, "The whole photograph", "As large as its place allows.", [key("F")];
    Outline, Show, "The machine's outline over the photograph", "That it lies on the machine proves the fit.", [key("O")];
    Fields, Show, "Keys to the fields, or back to the photograph", "On the photograph Tab walks points; in the fields it walks fields.", [key("F6")];
    SayOtherwise, Show, "Say otherwise than the photograph", "Time, focal length, sensor and settings, in fields of their own.", [key("S")];
    Commands, Show, "Find a command", "Every command with its keys.", [key("Slash"), key("F1")];
    Theme, Show, "Dark or light page", "Light paper reads better outdoors.", [];

    StoodHere, Keep, "I stood here", "The stand becomes a scene's frame, to be rehearsed for the next visit.", [ctrl("S")];
    Rehearse, Keep, "Rehearse from here", "Walk on from where this was taken, and see what would have been better.", [ctrl("R")];
    ReadAnew, Keep, "Read the marks anew", "As the file has them now; what was marked since is dropped.", [];
    PutAside, Keep, "Keep the marks file aside and begin anew", "It gets another name beside its own; marks placed here are written into a new one.", [];
    KeepAgain, Keep, "Write the marks now", "They are written at every change; this tries again where that failed.", [];
    ReadPhoto, Keep, "Read the photograph again", "As its file is now; the marks stay.", [key("F5")];
    NextPhoto, Keep, "Next photograph", "Of those that were named.", [key("PageDown")];
    PreviousPhoto, Keep, "Photograph before", "Of those that were named.", [key("PageUp")];
    Leave, Keep, "Back to the rehearsal", "Marks stay in their file.", [ctrl("B")];
    Close, Keep, "Close the window", "Marks stay in their file.", [ctrl("Q")];
    Undo, Keep, "Undo", "One step back.", [ctrl("Z")];
    Redo, Keep, "Redo", "One step on again.", [ctrl("Y")];
}

impl MarkCommand {
    /// Pixels right and down by which it moves a mark.
    pub fn nudge_px(self) -> Option<[f64; 2]> {
        Some(match self {
            MarkCommand::NudgeLeft => [-1.0, 0.0],
            MarkCommand::NudgeRight => [1.0, 0.0],
            MarkCommand::NudgeUp => [0.0, -1.0],
            MarkCommand::NudgeDown => [0.0, 1.0],
            MarkCommand::NudgeLeftFine => [-0.1, 0.0],
            MarkCommand::NudgeRightFine => [0.1, 0.0],
            MarkCommand::NudgeUpFine => [0.0, -0.1],
            MarkCommand::NudgeDownFine => [0.0, 0.1],
            _ => return None,
        })
    }

    /// Pixels right and down by which it moves the cross, and no mark.
    pub fn step_px(self) -> Option<[f64; 2]> {
        Some(match self {
            MarkCommand::CrossLeftCoarse => [-10.0, 0.0],
            MarkCommand::CrossRightCoarse => [10.0, 0.0],
            MarkCommand::CrossUpCoarse => [0.0, -10.0],
            MarkCommand::CrossDownCoarse => [0.0, 10.0],
            MarkCommand::CrossLeftFar => [-100.0, 0.0],
            MarkCommand::CrossRightFar => [100.0, 0.0],
            MarkCommand::CrossUpFar => [0.0, -100.0],
            MarkCommand::CrossDownFar => [0.0, 100.0],
            _ => return None,
        })
    }

    /// Whether it brings the cross elsewhere, where it is to be seen.
    pub fn moves_cross(self) -> bool {
        let goes = [
            MarkCommand::ToExpected,
            MarkCommand::NextPoint,
            MarkCommand::PreviousPoint,
        ];
        self.nudge_px().or(self.step_px()).is_some() || goes.contains(&self)
    }

    /// Whether its keys belong to fields and buttons where these have the keys.
    pub fn is_of_photograph(self) -> bool {
        if self.moves_cross() {
            return true;
        }
        let chords = self.entry().chords;
        let free = [
            MarkCommand::Fields,
            MarkCommand::Commands,
            MarkCommand::ReadPhoto,
        ]
        .contains(&self);
        !free && chords.iter().any(|chord| !chord.ctrl)
    }
}

impl Listed for MarkCommand {
    const ALL: &'static [MarkCommand] = MarkCommand::ALL;

    fn entry(self) -> Entry {
        self.entry()
    }

    fn repeats(self) -> bool {
        let zooms = [MarkCommand::ZoomIn, MarkCommand::ZoomOut];
        let jumps = self == MarkCommand::ToExpected;
        (self.moves_cross() && !jumps) || zooms.contains(&self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_keys_or_names() {
        for (i, one) in MarkCommand::ALL.iter().enumerate() {
            for other in &MarkCommand::ALL[i + 1..] {
                let (one, other) = (one.entry(), other.entry());
                assert_ne!(one.name, other.name);
                let shared = one.chords.iter().find(|chord| other.chords.contains(chord));
                assert_eq!(shared, None, "{} and {}", one.name, other.name);
            }
        }
        assert_eq!(
            MarkCommand::matching("tenth left"),
            [MarkCommand::NudgeLeftFine]
        );
        // By the words that people look for.
        for (words, first) in [
            ("zoom", MarkCommand::ZoomIn),
            ("otherwise", MarkCommand::SayOtherwise),
        ] {
            assert_eq!(MarkCommand::matching(words).first(), Some(&first));
        }
        assert!(!MarkCommand::Undo.is_of_photograph() && MarkCommand::NextPoint.is_of_photograph());
    }
}

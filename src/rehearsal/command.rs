//! Commands: everything that can be done by key, button or word, with its name, its keys and its reason.
//! May not enter: how it is done, key codes of any window.

/// Families of commands, in the order of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Where the camera stands.
    Stand,
    /// How it looks.
    Aim,
    /// Lenses.
    Lens,
    /// When.
    Time,
    /// The machine and its surroundings.
    Machine,
    /// What is shown.
    Show,
    /// Frames and files.
    Keep,
    /// Points marked in a photograph.
    Mark,
}

impl Family {
    /// Its heading.
    pub fn word(self) -> &'static str {
        match self {
            Family::Stand => "Stand",
            Family::Aim => "Aim",
            Family::Lens => "Lens",
            Family::Time => "Time",
            Family::Machine => "Machine",
            Family::Show => "Show",
            Family::Keep => "Keep",
            Family::Mark => "Mark",
        }
    }
}

/// Keys pressed together. `key` is the name of the key as it is printed ("A", "Comma", "F1").
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chord {
    /// With Ctrl (Command on a Mac).
    pub ctrl: bool,
    /// With Shift.
    pub shift: bool,
    /// With Alt.
    pub alt: bool,
    /// The key's name.
    pub key: &'static str,
}

pub(super) const fn key(key: &'static str) -> Chord {
    Chord {
        ctrl: false,
        shift: false,
        alt: false,
        key,
    }
}

pub(super) const fn shift(name: &'static str) -> Chord {
    Chord {
        shift: true,
        ..key(name)
    }
}

pub(super) const fn alt(name: &'static str) -> Chord {
    Chord {
        alt: true,
        ..key(name)
    }
}

pub(super) const fn ctrl(name: &'static str) -> Chord {
    Chord {
        ctrl: true,
        ..key(name)
    }
}

impl Chord {
    /// As it is printed: "Ctrl + S".
    pub fn text(&self) -> String {
        let key = match self.key {
            "Comma" => ",",
            "Period" => ".",
            "OpenBracket" => "[",
            "CloseBracket" => "]",
            "Minus" => "\u{2212}",
            "Plus" => "+",
            "Equals" => "=",
            "Slash" => "/",
            "PageUp" => "Page up",
            "PageDown" => "Page down",
            "ArrowLeft" => "\u{2190}",
            "ArrowRight" => "\u{2192}",
            "ArrowUp" => "\u{2191}",
            "ArrowDown" => "\u{2193}",
            other => other,
        };
        let ctrl = if self.ctrl { "Ctrl + " } else { "" };
        let shift = if self.shift { "Shift + " } else { "" };
        let alt = if self.alt { "Alt + " } else { "" };
        format!("{ctrl}{alt}{shift}{key}")
    }
}

/// A list of commands: of a rehearsal, or of another page.
pub trait Listed: Copy + PartialEq + 'static {
    /// All of them, in the order of the list.
    const ALL: &'static [Self];

    /// Its entry in the list.
    fn entry(self) -> Entry;

    /// Whether a key held down does it again and again.
    fn repeats(self) -> bool;

    /// Commands whose name, reason or family holds every word typed, those whose name begins with it first.
    fn matching(typed: &str) -> Vec<Self> {
        let words: Vec<String> = typed.split_whitespace().map(str::to_lowercase).collect();
        let rank = |command: &Self| {
            let entry = command.entry();
            let name = entry.name.to_lowercase();
            let all = format!("{name} {} {}", entry.family.word(), entry.why).to_lowercase();
            let whole = words.join(" ");
            let holds = words.iter().all(|word| all.contains(word.as_str()));
            let in_name = words.iter().all(|word| name.contains(word.as_str()));
            match (holds, in_name, name.starts_with(&whole)) {
                (false, ..) => None,
                (_, _, true) => Some(0),
                (_, true, _) => Some(1),
                _ => Some(2),
            }
        };
        let mut found: Vec<(u8, Self)> = (Self::ALL.iter())
            .filter_map(|command| rank(command).map(|rank| (rank, *command)))
            .collect();
        found.sort_by_key(|(rank, _)| *rank); // stable: the list's own order within a rank
        found.into_iter().map(|(_, command)| command).collect()
    }
}

macro_rules! commands {
    ($list:ident, $doc:literal;
     $($command:ident, $family:ident, $name:literal, $why:literal, [$($chord:expr),*];)*) => {
        #[doc = $doc]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $list {
            $(#[doc = $name] $command,)*
        }

        impl $list {
            /// All of them, in the order of the list.
            pub const ALL: &'static [$list] = &[$($list::$command,)*];

            /// Its entry in the list.
            pub fn entry(self) -> Entry {
                match self {
                    $($list::$command => Entry {
                        family: Family::$family,
                        name: $name,
                        why: $why,
                        chords: { const CHORDS: &[Chord] = &[$($chord),*]; CHORDS },
                    },)*
                }
            }
        }
    };
}

pub(super) use commands;

/// What the list says of a command.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Its family.
    pub family: Family,
    /// Its name, in sentence case.
    pub name: &'static str,
    /// The reason for it, a rule of the trade where there is one.
    pub why: &'static str,
    /// Its keys.
    pub chords: &'static [Chord],
}

commands! {
    Command, "What can be done.";

    WalkLeft, Stand, "Walk left", "Half a metre. Toward the nose the view becomes more head-on, toward the middle more broadside.", [key("A")];
    WalkRight, Stand, "Walk right", "Half a metre. Toward the nose the view becomes more head-on, toward the middle more broadside.", [key("D")];
    WalkNearer, Stand, "Walk nearer", "Half a metre. Nearer, the near end grows against the far one.", [key("W")];
    WalkFarther, Stand, "Walk farther", "Half a metre. Farther, the far end keeps its size and a longer lens is needed.", [key("S")];
    WalkLeftFine, Stand, "Walk left a little", "A tenth of a metre: enough to clear a pole.", [shift("A")];
    WalkRightFine, Stand, "Walk right a little", "A tenth of a metre: enough to clear a pole.", [shift("D")];
    WalkNearerFine, Stand, "Walk nearer a little", "A tenth of a metre.", [shift("W")];
    WalkFartherFine, Stand, "Walk farther a little", "A tenth of a metre.", [shift("S")];
    Raise, Stand, "Raise the camera", "A tenth of a metre. The eye belongs about as high as the rails: neither under the frame nor on the roof.", [key("R")];
    Lower, Stand, "Lower the camera", "A tenth of a metre. The eye belongs about as high as the rails: neither under the frame nor on the roof.", [key("F")];

    AimLeft, Aim, "Aim left", "Half a degree.", [key("ArrowLeft")];
    AimRight, Aim, "Aim right", "Half a degree.", [key("ArrowRight")];
    AimUp, Aim, "Tilt up", "A fifth of a degree. A tilted back makes verticals lean; a level one keeps them.", [key("ArrowUp")];
    AimDown, Aim, "Tilt down", "A fifth of a degree. A tilted back makes verticals lean; a level one keeps them.", [key("ArrowDown")];
    RollLeft, Aim, "Roll left", "A fifth of a degree, counter-clockwise as the photographer sees it.", [key("Q")];
    RollRight, Aim, "Roll right", "A fifth of a degree, clockwise as the photographer sees it.", [key("E")];
    Level, Aim, "Level the camera", "No roll, no pitch: horizon and verticals true.", [key("L")];
    Balance, Aim, "Balance the side margins", "Turns the camera until there is as much room left as right; pitch stays.", [key("B")];

    LongerLens, Lens, "Longer lens", "The next one of the kit. About 50 mm keeps the far end in proportion.", [key("Plus"), key("Equals")];
    ShorterLens, Lens, "Shorter lens", "The next one of the kit. About 50 mm keeps the far end in proportion.", [key("Minus")];
    LongerFine, Lens, "Zoom in", "Two per cent of focal length.", [key("Z")];
    ShorterFine, Lens, "Zoom out", "Two per cent of focal length.", [shift("Z")];
    LensStrip, Lens, "Compare lenses from this spot", "Each lens as it frames from here, or from where it would frame alike.", [key("X")];

    Earlier, Time, "Five minutes earlier", "The shadow line on the doors moves with the sun.", [key("Comma")];
    Later, Time, "Five minutes later", "The shadow line on the doors moves with the sun.", [key("Period")];
    EarlierFine, Time, "One minute earlier", "Windows are told to the minute.", [shift("Comma")];
    LaterFine, Time, "One minute later", "Windows are told to the minute.", [shift("Period")];
    DayBefore, Time, "The day before", "Same hour.", [key("PageUp")];
    DayAfter, Time, "The day after", "Same hour.", [key("PageDown")];
    MonthBefore, Time, "A month earlier", "Same hour.", [shift("PageUp")];
    MonthAfter, Time, "A month later", "Same hour.", [shift("PageDown")];
    BestMinute, Time, "The day's best minute here", "The minute of this date that grades best from this very spot.", [key("M")];
    Play, Time, "Play through the day", "From sunrise to sunset; again to stop.", [key("P")];

    Turn, Machine, "Turn the machine end for end", "Which end leads decides which side can be lit.", [key("T")];
    MachineOn, Machine, "Machine 10 m on", "It never stops where one thinks.", [key("CloseBracket")];
    MachineBack, Machine, "Machine 10 m back", "It never stops where one thinks.", [key("OpenBracket")];
    Doors, Machine, "Open or shut the doors", "Open doors are a marked fault.", [key("O")];
    CoupleFront, Machine, "Couple or uncouple at the front", "A machine coupled at the front is no portrait.", [];
    CoupleRear, Machine, "Couple or uncouple at the rear", "Coupled equipment hides and shades.", [];
    NextSky, Machine, "Next sky", "Clear, thin cirrus, broken, overcast: shadows must be crisp.", [key("K")];
    Weeds, Machine, "Cut the weeds, or let them stand", "What stands before the machine hides it.", [];

    Guides, Show, "Guides", "Level and plumb lines, margins with their percentages.", [key("G")];
    ShowFault, Show, "Show the next fault in the frame", "Lights up the pixels that cause it.", [key("N")];
    ShowNothing, Show, "Show no fault", "The frame as it is.", [key("Escape")];
    ViewUp, Show, "Ground north up, or view up", "View up, left on the paper is left in the frame.", [key("U")];
    Year, Show, "The year as hours won", "Week by week, morning and afternoon, for each facing.", [key("Y")];
    WhatIf, Show, "What if", "Doors, couplings, sky, facing, model, film, lenses.", [key("I")];
    Find, Show, "Find it for me", "Searches allowed ground, lenses and dates from here.", [ctrl("F")];
    Bears, Show, "How much this frame bears", "Minutes, metres and degrees until its verdict drops; the chance that it stays good.", [ctrl("B")];
    Tray, Show, "Kept frames", "Slides the tray out or in.", [key("Tab")];
    Compare, Show, "Two frames side by side", "The kept frame that is chosen beside the present one.", [key("C")];
    Commands, Show, "Find a command", "Every command with its keys.", [key("Slash"), key("F1")];
    Units, Show, "Metres, or feet and inches", "Of every length that is shown.", [];
    Theme, Show, "Dark or light page", "Light paper reads better outdoors.", [];

    Keep, Keep, "Keep this frame", "Puts frame, verdict and minute into the tray.", [key("Space")];
    ExportPicture, Keep, "Export the picture", "The predicted frame as PNG.", [ctrl("E")];
    ExportCard, Keep, "Export the card", "The sheet for the field, with marks, hours and cautions.", [ctrl("P")];
    ExportData, Keep, "Export the data", "The graded frame as JSON, the same as the grade command's.", [ctrl("J")];
    JudgePhoto, Keep, "Judge a photograph", "Mark points of the machine in a picture that was taken: the same rules grade it.", [ctrl("U")];
    SaveScene, Keep, "Save the scene with this frame", "This stand and minute become the scene's own frame; comments stay.", [ctrl("S")];
    OpenScene, Keep, "Open another scene", "The shipped sites and the last ones.", [ctrl("O")];
    Close, Keep, "Close the window", "Its size, the scene and the page's look are remembered.", [ctrl("Q")];
    Undo, Keep, "Undo", "One step back.", [ctrl("Z")];
    Redo, Keep, "Redo", "One step on again.", [ctrl("Y")];
}

impl Command {
    /// Whether a key held down does it again and again: steps of stand, aim, lens and time do; what toggles, keeps or
    /// writes does not.
    pub fn repeats(self) -> bool {
        let steps = matches!(
            self.entry().family,
            Family::Stand | Family::Aim | Family::Lens | Family::Time
        );
        let acts = [
            Command::Level,
            Command::Balance,
            Command::LensStrip,
            Command::BestMinute,
            Command::Play,
        ];
        steps && !acts.contains(&self)
    }
}

impl Listed for Command {
    const ALL: &'static [Command] = Command::ALL;

    fn entry(self) -> Entry {
        self.entry()
    }

    fn repeats(self) -> bool {
        self.repeats()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_keys_or_names() {
        for (i, one) in Command::ALL.iter().enumerate() {
            for other in &Command::ALL[i + 1..] {
                let (one, other) = (one.entry(), other.entry());
                assert_ne!(one.name, other.name);
                for chord in one.chords {
                    assert!(
                        !other.chords.contains(chord),
                        "{} and {}",
                        one.name,
                        other.name
                    );
                }
            }
        }
    }

    #[test]
    fn a_held_key_walks_and_aims_but_keeps_and_toggles_once() {
        for command in [
            Command::WalkLeft,
            Command::Raise,
            Command::AimUp,
            Command::LongerFine,
            Command::Later,
        ] {
            assert!(command.repeats(), "{command:?}");
        }
        let once = [
            Command::Keep,
            Command::ExportCard,
            Command::ExportPicture,
            Command::Guides,
            Command::Play,
        ];
        for command in once
            .into_iter()
            .chain([Command::Turn, Command::SaveScene, Command::Level])
        {
            assert!(!command.repeats(), "{command:?}");
        }
    }

    #[test]
    fn a_command_is_found_by_its_name_and_by_its_reason() {
        assert_eq!(Command::matching("level")[0], Command::Level);
        assert_eq!(Command::matching("margins bal")[0], Command::Balance);
        assert!(Command::matching("pole").contains(&Command::WalkLeftFine));
        assert_eq!(Command::matching("").len(), Command::ALL.len());
        assert!(Command::matching("no such thing").is_empty());
    }
}

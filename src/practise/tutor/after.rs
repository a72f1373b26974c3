//! What is worked out once a frame has been told: what is true of it, and which frame stands beside it. May not enter:
//! pictures.

use super::Play;
use crate::practise::deal::Dealt;
use crate::practise::drill::mended::{Mended, mended};
use crate::practise::fault::FaultKind;
use crate::practise::posed::{Posed, Seen};
use std::sync::Arc;

/// What is still to be told of a round.
pub(super) struct After {
    /// Its frame.
    pub posed: Posed,
    /// The frame as it was graded.
    pub seen: Arc<Seen>,
    /// The planted kind.
    pub kind: Option<FaultKind>,
    /// The frame beside is shown as large as its own.
    pub is_large: bool,
    beside: Beside,
}

/// Which frame stands beside.
enum Beside {
    Nothing,
    /// What mends this one.
    Mended(Box<Dealt>),
    /// The one to which known moves lead.
    Known(Box<Posed>),
    /// The one when the light is gone.
    Gone(Box<Posed>),
}

impl After {
    pub fn of(play: &Play) -> After {
        let of = |dealt: &Dealt, beside| After {
            posed: dealt.posed.clone(),
            seen: Arc::clone(&dealt.seen),
            kind: dealt.planted.map(|one| one.kind),
            is_large: false,
            beside,
        };
        match play {
            Play::Spot(spot) if spot.dealt.planted.is_none() => of(&spot.dealt, Beside::Nothing),
            Play::Spot(spot) => of(&spot.dealt, Beside::Mended(spot.dealt.clone().into())),
            Play::Mend(mend) => of(&mend.dealt, Beside::Known(mend.fewest.1.clone().into())),
            Play::Hour(hour) => After {
                posed: hour.posed.clone(),
                seen: Arc::clone(&hour.seen),
                kind: None,
                is_large: true,
                beside: Beside::Gone(hour.afterwards().into()),
            },
        }
    }

    /// The frame of which the truth is told: of a called hour what ends it.
    pub fn true_of(&self) -> (&Posed, Arc<Seen>) {
        match &self.beside {
            Beside::Gone(gone) => (gone, Arc::new(gone.proved())),
            _ => (&self.posed, Arc::clone(&self.seen)),
        }
    }

    /// The frame beside, and in words what was changed.
    pub fn beside(&self) -> Option<Mended> {
        match &self.beside {
            Beside::Nothing => None,
            Beside::Mended(dealt) => mended(dealt),
            Beside::Known(posed) | Beside::Gone(posed) => Some(Mended {
                posed: (**posed).clone(),
                words: String::new(),
            }),
        }
    }
}

//! A frame of ids and depths. May not enter: how it was drawn.

/// What a pixel shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Id(pub u32);

impl Id {
    /// Nothing: the sky.
    pub const NOTHING: Id = Id(0);
    const OBJECT: u32 = 1 << 24;

    /// A patch of the machine.
    pub fn patch(n: usize) -> Id {
        Id(n as u32 + 1)
    }

    /// An object of the stage.
    pub fn object(k: usize) -> Id {
        Id(Id::OBJECT | k as u32)
    }

    /// The patch it names, if it names one.
    pub fn as_patch(self) -> Option<usize> {
        (self.0 != 0 && self.0 < Id::OBJECT).then(|| self.0 as usize - 1)
    }

    /// The object it names, if it names one.
    pub fn as_object(self) -> Option<usize> {
        (self.0 >= Id::OBJECT).then_some((self.0 & (Id::OBJECT - 1)) as usize)
    }
}

/// Rows of pixels, top row first. `near` grows toward the eye: 1/depth in perspective, −depth along the
/// rays of an orthographic view; where nothing was drawn it is −∞.
#[derive(Clone, Debug, Default)]
pub struct Frame {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// What each pixel shows.
    pub ids: Vec<Id>,
    /// How near it is.
    pub near: Vec<f32>,
}

impl Frame {
    /// Empties the frame at a size, keeping its memory.
    pub fn clear(&mut self, width: usize, height: usize) {
        (self.width, self.height) = (width, height);
        self.ids.clear();
        self.ids.resize(width * height, Id::NOTHING);
        self.near.clear();
        self.near.resize(width * height, f32::NEG_INFINITY);
    }

    /// Adds the pixels of each patch to `counts`.
    pub fn count_patches(&self, counts: &mut [u32]) {
        for id in &self.ids {
            if let Some(n) = id.as_patch() {
                counts[n] += 1;
            }
        }
    }
}

/// The machine alone, and the same with everything else drawn over it.
#[derive(Clone, Debug, Default)]
pub struct Sighting {
    /// The machine alone.
    pub alone: Frame,
    /// Everything.
    pub all: Frame,
}

/// The pixels of each patch in a sighting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Of the machine alone.
    pub alone: Vec<u32>,
    /// With everything; empty where nothing else was asked for.
    pub all: Vec<u32>,
}

impl Counts {
    /// Counts a sighting of a machine of so many patches.
    pub fn of(sighting: &Sighting, patches: usize) -> Counts {
        let count = |frame: &Frame| {
            let mut counts = vec![0; patches];
            frame.count_patches(&mut counts);
            counts
        };
        Counts {
            alone: count(&sighting.alone),
            all: match sighting.all.ids.is_empty() {
                true => Vec::new(),
                false => count(&sighting.all),
            },
        }
    }
}

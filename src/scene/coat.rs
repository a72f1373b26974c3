//! What surfaces of surroundings are made of, as far as an eye can tell. May not enter: shapes, light.

/// What a surface is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Finish {
    /// Even and dull.
    #[default]
    Plain,
    /// Painted metal, a little glossy: equipment, signals, lamp masts.
    Paint,
    /// Weathered round timber: poles.
    Timber,
    /// Boards, upright, with gaps: fences, old sheds.
    Boards,
    /// Brickwork in courses.
    Brick,
    /// Sheet metal in upright waves.
    Corrugated,
    /// Cast concrete.
    Concrete,
    /// Window panes.
    Glass,
    /// Tar and gravel or felt on a roof.
    Roofing,
    /// Bare, rusting or painted girders.
    Steel,
    /// Woven wire, mostly air.
    Mesh,
    /// Broad leaves.
    Leaves,
    /// Needles.
    Needles,
    /// Bare twigs.
    Twigs,
    /// Bark.
    Bark,
    /// Weeds and tall grass.
    Weeds,
    /// Clothes.
    Cloth,
    /// Skin.
    Skin,
    /// Mown or wild grass.
    Grass,
    /// Trodden or spread stones.
    Gravel,
    /// A street.
    Asphalt,
}

impl Finish {
    /// Leaves and weeds: no hard surface, and light passes.
    pub fn is_soft(self) -> bool {
        matches!(
            self,
            Finish::Leaves | Finish::Needles | Finish::Twigs | Finish::Weeds
        )
    }
}

/// A finish in its colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Coat {
    /// What it is made of.
    pub finish: Finish,
    /// Its mean colour, sRGB-encoded.
    pub color_srgb: [u8; 3],
}

impl Coat {
    /// A finish in a colour.
    pub const fn new(finish: Finish, color_srgb: [u8; 3]) -> Coat {
        Coat { finish, color_srgb }
    }

    /// The coat of a piece: coats are listed piece by piece, and the last serves for all that follow.
    pub fn of_piece(coats: &[Coat], piece: usize) -> Coat {
        let last = coats.len().saturating_sub(1);
        coats.get(piece.min(last)).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_coat_serves_for_all_pieces_that_follow() {
        let coats = [
            Coat::new(Finish::Brick, [1; 3]),
            Coat::new(Finish::Roofing, [2; 3]),
        ];
        assert_eq!(Coat::of_piece(&coats, 0), coats[0]);
        assert_eq!(Coat::of_piece(&coats, 5), coats[1]);
        assert_eq!(Coat::of_piece(&[], 3), Coat::default());
    }
}

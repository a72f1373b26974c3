//! The commands. May not enter: formulas, rules, drawing.

pub mod check;

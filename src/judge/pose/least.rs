//! Least squares of a few unknowns: Levenberg's and Marquardt's damped steps, and the inverse of the normal
//! matrix. May not enter: what the unknowns mean.
//!
//! Written out rather than taken from a library: ten unknowns need one Cholesky factor and its inverse, and
//! a step that leads behind the lens must be refused, not end the search.

/// How many unknowns there can be.
pub(super) const MOST: usize = 10;

/// One value for each unknown.
pub(super) type Unknowns = [f64; MOST];

/// Left-over errors and how each changes with each unknown.
pub(super) struct Linear {
    pub errors: Vec<f64>,
    pub slopes: Vec<Unknowns>,
}

/// Where a search ended.
#[derive(Clone)]
pub(super) struct Ended {
    pub at: Unknowns,
    /// Sum of the squared errors.
    pub squares: f64,
}

/// Moves the `free` unknowns until the squared errors no longer fall, in no more than `steps`. `look` gives none
/// where the model has no value. None if it has none at the start.
pub(super) fn descend(
    start: Unknowns,
    free: &[usize],
    steps: usize,
    look: impl Fn(&Unknowns) -> Option<Linear>,
) -> Option<Ended> {
    let (mut at, mut here) = (start, look(&start)?);
    let mut squares = sum_of_squares(&here.errors);
    let mut damping = 1e-3;
    for _ in 0..steps {
        let (normal, pull) = normal(&here, free);
        let mut damped = normal;
        for (i, row) in damped.iter_mut().enumerate() {
            // Marquardt 1963: damped in proportion to the diagonal, so that units do not matter.
            row[i] += damping * row[i].max(1e-30);
        }
        let step = factor(&damped, free.len()).map(|lower| solve(&lower, free.len(), pull));
        let tried = step.map(|step| {
            let mut there = at;
            for (value, &unknown) in step.iter().zip(free) {
                there[unknown] -= value;
            }
            there
        });
        let found = tried.and_then(|there| Some((there, look(&there)?)));
        let better = found.filter(|(_, seen)| sum_of_squares(&seen.errors) < squares);
        match better {
            Some((there, seen)) => {
                let fallen = squares - sum_of_squares(&seen.errors);
                (at, here, squares) = (there, seen, squares - fallen);
                damping = (damping * 0.2).max(1e-12);
                if fallen <= 1e-14 * squares || squares < 1e-22 {
                    break;
                }
            }
            None => {
                damping *= 8.0;
                if damping > 1e12 {
                    break;
                }
            }
        }
    }
    Some(Ended { at, squares })
}

pub(super) fn sum_of_squares(errors: &[f64]) -> f64 {
    errors.iter().map(|error| error * error).sum()
}

/// A matrix of the free unknowns, the first rows and columns of it used.
pub(super) type Square = [[f64; MOST]; MOST];

/// Slopes times slopes, and slopes times errors, of the free unknowns.
pub(super) fn normal(linear: &Linear, free: &[usize]) -> (Square, Unknowns) {
    let n = free.len();
    let (mut square, mut pull) = ([[0.0; MOST]; MOST], [0.0; MOST]);
    for (slope, error) in linear.slopes.iter().zip(&linear.errors) {
        for i in 0..n {
            let own = slope[free[i]];
            pull[i] += own * error;
            for j in 0..=i {
                square[i][j] += own * slope[free[j]];
            }
        }
    }
    let lower = square;
    for (i, row) in square.iter_mut().enumerate() {
        for (j, value) in row.iter_mut().enumerate().skip(i + 1) {
            *value = lower[j][i];
        }
    }
    (square, pull)
}

/// Cholesky's lower factor of the first `n` rows; none unless they are positive definite.
fn factor(matrix: &Square, n: usize) -> Option<Square> {
    let mut lower = [[0.0; MOST]; MOST];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = matrix[i][j] - known;
            if i == j {
                if !(rest > 0.0 && rest.is_finite()) {
                    return None;
                }
                lower[i][i] = rest.sqrt();
            } else {
                lower[i][j] = rest / lower[j][j];
            }
        }
    }
    Some(lower)
}

fn solve(lower: &Square, n: usize, mut x: Unknowns) -> Unknowns {
    for i in 0..n {
        let known: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    x
}

/// The inverse of a normal matrix of `n` unknowns. They are first brought to one size; the first whose share
/// that no earlier one explains is lost in rounding is told as the error.
pub(super) fn inverse(matrix: &Square, n: usize) -> Result<Square, usize> {
    let mut sizes = [1.0; MOST];
    for i in 0..n {
        sizes[i] = matrix[i][i].sqrt();
        if sizes[i].is_nan() || sizes[i] <= 0.0 {
            return Err(i);
        }
    }
    let mut even = *matrix;
    for (i, row) in even.iter_mut().enumerate() {
        for (j, value) in row.iter_mut().enumerate() {
            *value /= sizes[i] * sizes[j];
        }
    }
    let mut whole = None;
    for rows in 1..=n {
        whole = factor(&even, rows);
        // The last pivot is the share of this unknown's effect that the earlier ones do not explain.
        let pivot = whole.map(|lower| lower[rows - 1][rows - 1].powi(2));
        if pivot.is_none_or(|pivot| pivot < 1e-12) {
            return Err(rows - 1);
        }
    }
    let mut inverse = [[0.0; MOST]; MOST];
    let Some(lower) = whole else {
        return Ok(inverse);
    };
    for j in 0..n {
        let mut unit = [0.0; MOST];
        unit[j] = 1.0;
        let column = solve(&lower, n, unit);
        for i in 0..n {
            inverse[i][j] = column[i] / (sizes[i] * sizes[j]);
        }
    }
    Ok(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the inverse of [[4, 2], [2, 3]] is [[3, -2], [-2, 4]] / 8.
    #[test]
    fn an_inverse_is_that_of_hand_calculation_and_a_singular_one_is_named() {
        let square = |corner: [[f64; 2]; 2]| {
            let mut square = [[0.0; MOST]; MOST];
            for (row, wanted) in square.iter_mut().zip(corner) {
                row[..2].copy_from_slice(&wanted);
            }
            square
        };
        let found = inverse(&square([[4.0, 2.0], [2.0, 3.0]]), 2).unwrap();
        for (row, wanted) in found.iter().zip([[0.375, -0.25], [-0.25, 0.5]]) {
            for (found, wanted) in row.iter().zip(wanted) {
                assert!((found - wanted).abs() < 1e-15, "{found} {wanted}");
            }
        }
        assert_eq!(inverse(&square([[1.0, 1.0], [1.0, 1.0]]), 2), Err(1));
        assert_eq!(inverse(&square([[1.0, 0.0], [0.0, 0.0]]), 2), Err(1));
    }

    /// Rosenbrock's valley as two squared errors: 10 (y - x²) and 1 - x, least at (1, 1).
    #[test]
    fn a_curved_valley_is_walked_to_its_end_and_a_forbidden_half_is_kept_out_of() {
        let look = |at: &Unknowns| {
            let (x, y) = (at[0], at[1]);
            let mut slopes = vec![[0.0; MOST]; 2];
            (slopes[0][0], slopes[0][1], slopes[1][0]) = (-20.0 * x, 10.0, -1.0);
            let errors = vec![10.0 * (y - x * x), 1.0 - x];
            (y < 3.0).then_some(Linear { errors, slopes })
        };
        let mut start = [0.0; MOST];
        (start[0], start[1]) = (-1.2, 1.0);
        let ended = descend(start, &[0, 1], 200, look).unwrap();
        assert!((ended.at[0] - 1.0).abs() < 1e-9 && (ended.at[1] - 1.0).abs() < 1e-9);
        start[1] = 4.0;
        assert!(descend(start, &[0, 1], 200, look).is_none());
    }
}

//! The bowing problem as a conic program, given to Clarabel: an independent interior-point solver
//! for linear and second-order cones, used as the outside measure of our own plan.
//!
//! Both ends of every piece are unknowns of their own, tied by equations, and so is every ratio
//! `r`. `t >= 1/r` with `r > 0` is the cone `||(t - r, 2)|| <= t + r` (Lobo, Vandenberghe, Boyd,
//! Lebret, "Applications of second-order cone programming", 1998, section 2.3).

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT};
use elbowroom::bowing::{End, Join, Problem};

/// Rows `A x + s = b`, with `s` in one cone a block.
#[derive(Default)]
struct Rows {
    row: Vec<usize>,
    column: Vec<usize>,
    value: Vec<f64>,
    right: Vec<f64>,
}

impl Rows {
    fn push(&mut self, terms: &[(usize, f64)], right: f64) {
        for &(column, value) in terms {
            self.row.push(self.right.len());
            self.column.push(column);
            self.value.push(value);
        }
        self.right.push(right);
    }
}

/// `1/2 x P x + q x + constant`, upper triangle only.
#[derive(Default)]
struct Quadratic {
    row: Vec<usize>,
    column: Vec<usize>,
    value: Vec<f64>,
    linear: Vec<f64>,
    constant: f64,
}

impl Quadratic {
    /// Adds `weight (terms - goal)^2`.
    fn square(&mut self, weight: f64, terms: &[(usize, f64)], goal: f64) {
        for &(i, a) in terms {
            for &(j, b) in terms {
                if i <= j {
                    self.row.push(i);
                    self.column.push(j);
                    self.value.push(2.0 * weight * a * b);
                }
            }
            self.linear[i] -= 2.0 * weight * goal * a;
        }
        self.constant += weight * goal * goal;
    }
}

/// The least cost of a problem, and where its pieces start and end, mm. `None` if no way through
/// the whole problem exists, or the solver gives up.
pub fn conic_cost(problem: &Problem) -> Option<(f64, Vec<f64>, Vec<f64>)> {
    let n = problem.pieces.len();
    let hair = problem.hair_mm;
    let (start, end) = (|k: usize| 4 * k, |k: usize| 4 * k + 1);
    let (ratio, inverse) = (|k: usize| 4 * k + 2, |k: usize| 4 * k + 3);
    let mut goal = Quadratic { linear: vec![0.0; 4 * n], ..Quadratic::default() };
    let (mut equal, mut less, mut cones) = (Rows::default(), Rows::default(), Rows::default());
    let interval = |less: &mut Rows, terms: &[(usize, f64)], lo: f64, hi: f64| {
        let negative: Vec<_> = terms.iter().map(|&(i, a)| (i, -a)).collect();
        less.push(terms, hi / hair);
        less.push(&negative, -lo / hair);
    };
    for (k, piece) in problem.pieces.iter().enumerate() {
        for at in [start(k), end(k)] {
            interval(&mut less, &[(at, 1.0)], problem.usable.0, problem.usable.1);
        }
        let sign = piece.direction.sign();
        let place = [(start(k), 0.5), (end(k), 0.5)];
        goal.square(piece.place_weight, &place, piece.place_mm / hair);
        if piece.moves() {
            let (least, most) = piece.lengths_mm();
            interval(&mut less, &[(start(k), -sign), (end(k), sign)], least, most);
            let wanted = piece.wanted_mm / hair;
            equal.push(&[(end(k), sign), (start(k), -sign), (ratio(k), -wanted)], 0.0);
            goal.linear[ratio(k)] += piece.speed_weight;
            goal.linear[inverse(k)] += piece.speed_weight;
            goal.constant -= 2.0 * piece.speed_weight;
            cones.push(&[(inverse(k), -1.0), (ratio(k), -1.0)], 0.0);
            cones.push(&[(inverse(k), -1.0), (ratio(k), 1.0)], 0.0);
            cones.push(&[], 2.0);
        } else {
            equal.push(&[(start(k), 1.0), (end(k), -1.0)], 0.0);
            equal.push(&[(ratio(k), 1.0)], 1.0);
        }
        if piece.speed_weight == 0.0 || !piece.moves() {
            equal.push(&[(inverse(k), 1.0), (ratio(k), -0.0)], if piece.moves() { 1e3 } else { 1.0 });
        }
        if k == 0 {
            continue;
        }
        match piece.join {
            Join::Start => {}
            Join::Same | Join::Turn { .. } => equal.push(&[(start(k), 1.0), (end(k - 1), -1.0)], 0.0),
            Join::Lift { reach_mm } => {
                let lift = [(start(k), 1.0), (end(k - 1), -1.0)];
                interval(&mut less, &lift, -reach_mm, reach_mm);
                goal.square(problem.weights.lift, &lift, 0.0);
            }
        }
        goal.square(problem.evenness(k), &[(ratio(k - 1), 1.0), (ratio(k), -1.0)], 0.0);
    }
    if let Some((lo, hi)) = problem.start {
        interval(&mut less, &[(start(0), 1.0)], lo, hi);
    }
    for pin in &problem.pins {
        let at = if pin.at == End::Start { start(pin.piece) } else { end(pin.piece) };
        interval(&mut less, &[(at, 1.0)], pin.lo_mm, pin.hi_mm);
    }
    let kinds: Vec<_> =
        [SupportedConeT::ZeroConeT(equal.right.len()), SupportedConeT::NonnegativeConeT(less.right.len())]
            .into_iter()
            .chain((0..cones.right.len() / 3).map(|_| SupportedConeT::SecondOrderConeT(3)))
            .collect();
    let mut all = Rows::default();
    for block in [equal, less, cones] {
        let shift = all.right.len();
        all.row.extend(block.row.iter().map(|row| row + shift));
        all.column.extend(block.column);
        all.value.extend(block.value);
        all.right.extend(block.right);
    }
    let size = 4 * n;
    let p = CscMatrix::new_from_triplets(size, size, goal.row, goal.column, goal.value);
    let a = CscMatrix::new_from_triplets(all.right.len(), size, all.row, all.column, all.value);
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .tol_gap_abs(1e-11)
        .tol_gap_rel(1e-11)
        .tol_feas(1e-11)
        .build()
        .ok()?;
    let mut solver = DefaultSolver::new(&p, &goal.linear, &a, &all.right, &kinds, settings).ok()?;
    solver.solve();
    let solution = &solver.solution;
    if !matches!(solution.status, SolverStatus::Solved | SolverStatus::AlmostSolved) {
        return None;
    }
    let places = |of: &dyn Fn(usize) -> usize| (0..n).map(|k| solution.x[of(k)] * hair).collect();
    Some((solution.obj_val + goal.constant, places(&start), places(&end)))
}

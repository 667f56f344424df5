//! Corridor and plan by length of the passage, and beside a general conic solver in the same run.
//!
//! `cargo bench --bench plan`

#[path = "../common/conic.rs"]
mod conic;
#[path = "../common/random.rs"]
mod random;

use std::hint::black_box;
use std::time::Instant;

use elbowroom::bowing::{Problem, corridor, solve};
use random::{Random, easy, playable};

/// Median seconds of `count` runs, after one to warm up.
fn median_s<T>(count: usize, run: impl Fn() -> T) -> f64 {
    black_box(run());
    let mut times: Vec<f64> = (0..count)
        .map(|_| {
            let start = Instant::now();
            black_box(run());
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[count / 2]
}

fn by_length(name: &str, make: impl Fn(usize) -> Problem) {
    println!("{name}");
    println!("{:>8} {:>13} {:>13} {:>10} {:>6}", "pieces", "corridor, ms", "plan, ms", "ns/piece", "steps");
    for count in [300, 3_000, 30_000, 100_000] {
        let problem = make(count);
        let runs = (300_000 / count).clamp(5, 200);
        let corridor_s = median_s(runs, || corridor(&problem));
        let plan_s = median_s(runs, || solve(&problem));
        let steps = solve(&problem).map_or(0, |plan| plan.iterations);
        println!(
            "{count:>8} {:>13.4} {:>13.4} {:>10.0} {steps:>6}",
            1e3 * corridor_s,
            1e3 * plan_s,
            1e9 * plan_s / count as f64
        );
    }
}

fn beside_conic(name: &str, make: impl Fn(usize) -> Problem) {
    println!("{name}, beside Clarabel");
    println!("{:>8} {:>13} {:>13} {:>8} {:>12}", "pieces", "plan, ms", "Clarabel, ms", "ratio", "cost apart");
    for count in [300, 3_000] {
        let problem = make(count);
        let plan_s = median_s(51, || solve(&problem));
        let conic_s = median_s(5, || conic::conic_cost(&problem));
        let apart = match (solve(&problem), conic::conic_cost(&problem)) {
            (Ok(plan), Some((cost, ..))) => format!("{:.1e}", (plan.cost - cost).abs() / cost.abs()),
            _ => "no answer".to_owned(),
        };
        println!(
            "{count:>8} {:>13.4} {:>13.4} {:>8.0} {apart:>12}",
            1e3 * plan_s,
            1e3 * conic_s,
            conic_s / plan_s
        );
    }
}

fn main() {
    let tight = |count| playable(&mut Random::new(9), count);
    let easy = |count| easy(&mut Random::new(9), count);
    by_length("Tight passages of chance", tight);
    by_length("Even passages", easy);
    beside_conic("Tight passages of chance", tight);
    beside_conic("Even passages", easy);
}

//! Corridor, plan and run-outs by length of the passage, the run-outs as a part of the plan, and beside a general conic solver in the same run.
//!
//! `cargo bench --bench plan`

#[path = "../common/conic.rs"]
mod conic;
#[path = "../common/random.rs"]
mod random;

use std::hint::black_box;
use std::time::Instant;

use elbowroom::bowing::{Problem, corridor, run_outs, solve};
use random::{Random, easy, playable};

/// Passages of each kind and length; what is printed is the median over them.
const SEEDS: std::ops::Range<u64> = 9..16;

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Least seconds of `count` runs: the work itself, not what else the machine was doing.
fn least_s<T>(count: usize, run: impl Fn() -> T) -> f64 {
    let times = (0..count).map(|_| {
        let start = Instant::now();
        black_box(run());
        start.elapsed().as_secs_f64()
    });
    times.fold(f64::INFINITY, f64::min)
}

type Make = fn(&mut Random, usize) -> Problem;

fn by_length(name: &str, make: Make) {
    println!("{name}");
    println!(
        "{:>8} {:>13} {:>13} {:>10} {:>8} {:>6} {:>6} {:>13} {:>8}",
        "pieces",
        "corridor, ms",
        "plan, ms",
        "ns/piece",
        "growth",
        "steps",
        "most",
        "run-outs, ms",
        "of plan"
    );
    let mut shortest = None;
    for count in [300, 3_000, 30_000, 100_000] {
        let runs = (300_000 / count).clamp(10, 200);
        let (mut corridor_s, mut plan_s, mut run_outs_s) = (Vec::new(), Vec::new(), Vec::new());
        let mut steps = Vec::new();
        for seed in SEEDS {
            let problem = make(&mut Random::new(seed), count);
            corridor_s.push(least_s(runs, || corridor(&problem)));
            plan_s.push(least_s(runs, || solve(&problem)));
            let Ok(plan) = solve(&problem) else { continue };
            run_outs_s.push(least_s(runs, || run_outs(&problem, &plan)));
            steps.push(plan.iterations as f64);
        }
        let most = steps.iter().copied().fold(0.0, f64::max);
        let (plan_s, run_outs_s) = (median(plan_s), median(run_outs_s));
        let each_ns = 1e9 * plan_s / count as f64;
        println!(
            "{count:>8} {:>13.4} {:>13.4} {each_ns:>10.0} {:>8.2} {:>6} {most:>6} {:>13.4} {:>8.3}",
            1e3 * median(corridor_s),
            1e3 * plan_s,
            each_ns / *shortest.get_or_insert(each_ns),
            median(steps),
            1e3 * run_outs_s,
            run_outs_s / plan_s
        );
    }
}

fn beside_conic(name: &str, make: Make) {
    println!("{name}, beside Clarabel");
    println!(
        "{:>8} {:>13} {:>13} {:>8} {:>8} {:>12}",
        "pieces", "plan, ms", "Clarabel, ms", "ratio", "least", "cost apart"
    );
    for (count, runs) in [(300, 5), (3_000, 2)] {
        let (mut plan_s, mut conic_s, mut ratio) = (Vec::new(), Vec::new(), Vec::new());
        let mut apart = Vec::new();
        for seed in SEEDS {
            let problem = make(&mut Random::new(seed), count);
            let ours = least_s(51, || solve(&problem));
            let theirs = least_s(runs, || conic::conic_cost(&problem));
            ratio.push(theirs / ours);
            plan_s.push(ours);
            conic_s.push(theirs);
            // No cost where the general solver gives up.
            if let (Ok(plan), Some((cost, ..))) = (solve(&problem), conic::conic_cost(&problem)) {
                apart.push((plan.cost - cost).abs() / cost.abs());
            }
        }
        let least = ratio.iter().copied().fold(f64::INFINITY, f64::min);
        println!(
            "{count:>8} {:>13.4} {:>13.4} {:>8.0} {least:>8.0} {:>12.1e}",
            1e3 * median(plan_s),
            1e3 * median(conic_s),
            median(ratio),
            median(apart)
        );
    }
}

fn main() {
    by_length("Tight passages of chance", playable);
    by_length("Even passages", easy);
    beside_conic("Tight passages of chance", playable);
    beside_conic("Even passages", easy);
}

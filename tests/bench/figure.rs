//! The player in the round: time to make the player of a set-up, to draw what stands still for a camera,
//! to pose the bow arm, to draw it over that, and to give all of it its colours, at the size of the view
//! for a class in a window of 1280 by 720. A frame is told with the arm moved, and with the player turned,
//! for which what stands still is drawn anew, as fine and as coarse as it is while a drag turns it. The baseline is the filling of an image of as many dots with
//! a distance and a tone each, in the same run. It is all done on one core; the aim is 8 ms a frame with
//! the arm moved, and while a drag turns the player.

use std::{hint::black_box, time::Instant};

use elbowroom::{
    arm::{Arm, LevelFan},
    figure::{Backdrop, Camera, Image, Mannequin, Which},
    picture::Theme,
    setup::{Family, Setup},
};

/// Size of the figure, pixels.
const SIZE: (f64, f64) = (840.0, 576.0);

fn median_ms(mut work: impl FnMut()) -> f64 {
    let runs = 21;
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

fn main() {
    let dots = (SIZE.0 as usize * Image::FINE) * (SIZE.1 as usize * Image::FINE);
    let baseline = median_ms(|| {
        let mut near = vec![f32::NEG_INFINITY; dots];
        let mut tones = vec![0_u8; dots];
        near.iter_mut().zip(&mut tones).enumerate().for_each(|(k, (near, tone))| {
            (*near, *tone) = (k as f32, k as u8);
        });
        black_box((near, tones));
    });
    println!("baseline, {dots} dots filled: {baseline:.2} ms");
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(&setup, &fan);
        let pose = arm.pose(fan.pairs[1].angle_deg, 0.3 * arm.hair_mm());
        let mannequin = Mannequin::new(&setup, &arm);
        // The player as high as the picture, from half in front.
        let mut camera = Camera::from(42.0, 6.0);
        camera.scale =
            SIZE.1 / (if family.on_shoulder() { 0.62 } else { 1.05 } * mannequin.stance.stature_mm);
        camera.origin = (0.5 * SIZE.0, 0.4 * SIZE.1);
        let made = median_ms(|| {
            black_box(Mannequin::new(&setup, &arm));
        });
        let moving = || (mannequin.bow_arm(&pose, Which::Shown), mannequin.pupils(pose.contact));
        let posed = median_ms(|| {
            black_box(moving());
        });
        let (bow, pupils) = moving();
        // As fine as it is shown, and as coarse as while a drag turns it: what stands still, what moves, the
        // colours.
        let [fine, coarse] = [1.0, 0.5].map(|pixels_per_mm| {
            let mut backdrop = Backdrop::new(SIZE, pixels_per_mm);
            let still = median_ms(|| {
                camera.origin.0 += 0.5;
                backdrop.show(&[&mannequin.still, &mannequin.head], &camera, false);
            });
            let drawn = median_ms(|| {
                black_box(backdrop.with(&[&pupils, &bow]));
            });
            let image = backdrop.with(&[&pupils, &bow]);
            let coloured = median_ms(|| {
                black_box(image.pixels(|dot| Theme::LIGHT.dot(dot)));
            });
            (still, drawn, coloured)
        });
        let moved = |(_, drawn, coloured): (f64, f64, f64)| posed + drawn + coloured;
        println!(
            "{:12} once {made:.2} ms; moved {:.2} ms, {:.1} times the baseline: posed {posed:.2}, drawn {:.2}, coloured {:.2}; turned {:.2} ms, while a drag turns it {:.2} ms",
            family.word(),
            moved(fine),
            moved(fine) / baseline,
            fine.1,
            fine.2,
            moved(fine) + fine.0,
            moved(coarse) + coarse.0
        );
    }
}

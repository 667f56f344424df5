//! Moving pictures: is on each frame what is played then, does everything stay on the frame, and do the files say
//! the same in every kind?

use std::{fs, path::Path};

use elbowroom::{
    analysis::Study,
    exchange::saving::{Over, SaveError},
    lesson::demo::demo,
    picture::{
        ArmView, Ink, Theme,
        film::{Film, FilmError, Kind, Reel, Seen, Subject, save_film},
    },
    setup::Family,
};
use serde_json::Value;

fn all() -> Seen {
    let player = Some(ArmView::Half);
    Seen { staff: true, hair: true, levels: true, bow: true, fan: true, player, ..Seen::default() }
}

fn passage(seen: Seen) -> Film {
    Film { subject: Subject::Passage { bars: 4..6 }, seen, ..Film::default() }
}

fn small(seen: Seen) -> Film {
    Film { size: (320, 200), rate: 12, pause_s: 0.5, ..passage(seen) }
}

fn rocking() -> Film {
    let subject = Subject::Levels { levels: vec![0, 2], way_s: 1.0, hair_share: 0.5 };
    let seen = Seen { fan: true, player: Some(ArmView::Half), ..Seen::default() };
    Film { subject, seen, ..Film::default() }
}

fn wish(study: &Study, film: &Film) -> String {
    match Reel::new(study, film) {
        Err(error @ FilmError::Wish(_)) => error.to_string(),
        _ => panic!("{film:?} can be made"),
    }
}

/// Two bars of four quarters at 84 a minute last 8 * 60 / 84 s; before them the first picture stands for a second.
#[test]
fn a_film_lasts_as_long_as_its_music_and_shows_the_bow_where_it_is_then() {
    let study = Study::new(demo());
    let film = passage(all());
    let reel = Reel::new(&study, &film).expect("as asked");
    let rate = f64::from(film.rate);
    let lasts = 1.0 + 8.0 * 60.0 / 84.0;
    assert_eq!(reel.count(), (lasts * rate).ceil() as usize);
    let analysis = study.analysis();
    let start = analysis.seconds_at(study.lesson().score.bars[4].start);
    for frame in 0..reel.count() {
        let moment = reel.moment(frame);
        let time = frame as f64 / rate;
        assert!((moment.time_s - time).abs() < 1e-12);
        let music = start + (time - 1.0).max(0.0);
        assert!((moment.music_s.expect("as asked") - music).abs() < 1e-9);
        assert_eq!(moment.bow, analysis.bow_at(moment.music_s.expect("as asked")));
        assert_eq!(moment.place, if music < start + 4.0 * 60.0 / 84.0 - 1e-6 { "5" } else { "6" });
    }
}

/// From one level to the other and back, staying half as long on each as the way takes.
#[test]
fn the_arm_rocks_between_two_levels() {
    let study = Study::new(demo());
    let reel = Reel::new(&study, &rocking()).expect("as asked");
    assert_eq!(reel.count(), 60);
    let angles: Vec<f64> = study.analysis().arm_path.fan.all().map(|level| level.angle_deg).collect();
    let at = |frame: usize| reel.moment(frame).bow.level_deg;
    assert!((0..=10).all(|frame| at(frame) == angles[0]));
    assert!((at(20) - (angles[0] + angles[2]) / 2.0).abs() < 1e-9);
    assert!((30..=40).all(|frame| (at(frame) - angles[2]).abs() < 1e-9));
    // The way back is the way there.
    assert!((10..=30).all(|frame| (at(frame) - at(70 - frame)).abs() < 1e-9 || frame == 10));
}

#[test]
fn everything_stays_on_a_frame_of_any_shape() {
    for family in Family::ALL {
        let mut lesson = demo();
        lesson.setup = lesson.setup.on(family);
        let study = Study::new(lesson);
        for size in [(1280, 720), (720, 720), (720, 1280), (480, 360), (1920, 480)] {
            for film in [passage(all()), passage(Seen { staff: true, ..Seen::default() }), rocking()] {
                let film = Film { size, ..film };
                let reel = Reel::new(&study, &film).expect("as asked");
                let mut sitter = reel.sitter();
                for frame in [0, reel.count() / 2, reel.count() - 1] {
                    let moment = reel.moment(frame);
                    for picture in [reel.still(&moment), reel.moving(&moment, &mut sitter)] {
                        let frame = kurbo::Rect::new(0.0, 0.0, picture.width_mm, picture.height_mm);
                        for bounds in picture.items.iter().filter_map(|item| item.bounds()) {
                            let all = frame.inflate(0.5, 0.5).contains_rect(bounds);
                            assert!(all, "{family:?} {size:?} {:?}: {bounds:?}", film.subject);
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn what_cannot_be_made_is_told() {
    let study = Study::new(demo());
    let film = passage(all());
    let told = |film: Film| wish(&study, &film);
    assert!(told(passage(Seen::default())).contains("nothing is to be seen"));
    assert!(told(Film { size: (10, 500), ..film.clone() }).contains("10x500"));
    assert!(told(Film { size: (4096, 4096), ..film.clone() }).contains("3840x2160"));
    assert!(told(Film { rate: 0, ..film.clone() }).contains("1 to 60"));
    assert!(told(Film { pause_s: f64::NAN, ..film.clone() }).contains("pause"));
    assert!(told(Film { subject: Subject::Passage { bars: 90..95 }, ..film.clone() }).contains("no music"));
    let levels = |levels: Vec<u8>, way_s| Film {
        subject: Subject::Levels { levels, way_s, hair_share: 0.5 },
        ..rocking()
    };
    assert!(told(levels(Vec::new(), 1.0)).contains("no level"));
    assert!(told(levels(vec![99], 1.0)).contains("no such level"));
    assert!(told(levels(vec![0, 1], 0.0)).contains("0.1 to 30"));
    let mut slow = demo();
    slow.setup.tempo_share = 0.05;
    slow.score.bars.truncate(8);
    let long = Film { subject: Subject::Passage { bars: 0..8 }, rate: 60, ..passage(all()) };
    assert!(wish(&Study::new(slow), &long).contains("more than 18000 frames"));
    for (kind, theme, rate, words) in
        [(Kind::Gif, Theme::LIGHT.clear(), 20, "clear ground"), (Kind::Gif, Theme::LIGHT, 60, "50 frames")]
    {
        assert!(kind.problem(&theme, rate).expect("as asked").contains(words));
    }
}

fn saved(film: &Film, kind: Kind, path: &Path) -> Reel {
    let reel = Reel::new(&Study::new(demo()), film).expect("as asked");
    let mut last = -1.0;
    let made = save_film(&reel, kind, path, Over::Nothing, &mut |part| {
        assert!(part > last && part < 1.0);
        last = part;
        true
    });
    assert_eq!(made.expect("as asked").frames, reel.count());
    reel
}

/// Red, green, blue and opacity of a PNG.
fn png_of(path: &Path) -> Vec<[u8; 4]> {
    let mut reader = png::Decoder::new(std::io::BufReader::new(fs::File::open(path).expect("as asked")))
        .read_info()
        .expect("as asked");
    let mut bytes = vec![0; reader.output_buffer_size().expect("as asked")];
    reader.next_frame(&mut bytes).expect("as asked");
    bytes.as_chunks::<4>().0.to_vec()
}

/// Each frame of a GIF on the canvas (GIF89a, 1990: a frame covers its part of the screen, a transparent pixel
/// leaves what is there), with when it is taken away again, 1/100 s.
fn gif_of(path: &Path) -> Vec<(u32, Vec<[u8; 4]>)> {
    let mut options = gif::DecodeOptions::new();
    options.set_color_output(gif::ColorOutput::RGBA);
    let mut decoder = options
        .read_info(std::io::BufReader::new(fs::File::open(path).expect("as asked")))
        .expect("as asked");
    let wide = usize::from(decoder.width());
    let mut canvas = vec![[0; 4]; wide * usize::from(decoder.height())];
    let (mut frames, mut until) = (Vec::new(), 0);
    while let Some(frame) = decoder.read_next_frame().expect("as asked") {
        until += u32::from(frame.delay);
        for (y, row) in frame.buffer.as_chunks::<4>().0.chunks(frame.width.into()).enumerate() {
            for (x, dot) in row.iter().enumerate().filter(|(_, dot)| dot[3] > 0) {
                canvas[(usize::from(frame.top) + y) * wide + usize::from(frame.left) + x] = *dot;
            }
        }
        frames.push((until, canvas.clone()));
    }
    frames
}

/// Each frame of a PNG that moves on the canvas (PNG, third edition: fcTL gives place and size of a frame; blend
/// operation "source" puts its pixels in the place of those there).
fn apng_of(path: &Path) -> Vec<Vec<[u8; 4]>> {
    let mut reader = png::Decoder::new(std::io::BufReader::new(fs::File::open(path).expect("as asked")))
        .read_info()
        .expect("as asked");
    let count = reader.info().animation_control().expect("as asked").num_frames;
    let wide = reader.info().width as usize;
    let mut canvas = vec![[0; 4]; wide * reader.info().height as usize];
    let mut bytes = vec![0; reader.output_buffer_size().expect("as asked")];
    let mut frames = Vec::new();
    for _ in 0..count {
        reader.next_frame(&mut bytes).expect("as asked");
        let frame = *reader.info().frame_control().expect("as asked");
        assert_eq!((frame.delay_num, frame.delay_den), (1, 12));
        let rows = bytes.as_chunks::<4>().0.chunks(frame.width as usize).take(frame.height as usize);
        for (y, row) in rows.enumerate() {
            let from = (frame.y_offset as usize + y) * wide + frame.x_offset as usize;
            canvas[from..from + row.len()].copy_from_slice(row);
        }
        frames.push(canvas.clone());
    }
    frames
}

#[test]
fn every_kind_of_file_shows_the_same_frames_at_the_same_times() {
    let folder = tempfile::tempdir().expect("as asked");
    let path = |name: &str| folder.path().join(name);
    let song = small(Seen { staff: true, hair: true, bow: true, ..Seen::default() });
    for (name, film) in [("song", song), ("arm", Film { size: (320, 200), rate: 12, ..rocking() })] {
        let reel = saved(&film, Kind::Frames, &path(&format!("{name}.png")));
        saved(&film, Kind::Gif, &path(&format!("{name}.gif")));
        saved(&film, Kind::Apng, &path(&format!("{name}.apng")));
        let table: Value =
            serde_json::from_slice(&fs::read(path(&format!("{name}.json"))).expect("as asked"))
                .expect("as asked");
        let rows = table["frames"].as_array().expect("as asked");
        assert_eq!(rows.len(), reel.count());
        let moving = apng_of(&path(&format!("{name}.apng")));
        assert_eq!(moving.len(), reel.count());
        let gif = gif_of(&path(&format!("{name}.gif")));
        assert_eq!(gif.last().expect("as asked").0, (100.0 * reel.count() as f64 / 12.0).round() as u32);
        assert!(gif.len() < reel.count(), "what does not move is one frame");
        for (index, row) in rows.iter().enumerate() {
            let moment = reel.moment(index);
            assert!((row["time_s"].as_f64().expect("as asked") - index as f64 / 12.0).abs() < 1e-6);
            assert_eq!(row["music_s"].as_f64().is_some(), moment.music_s.is_some());
            let single = png_of(&path(row["file"].as_str().expect("as asked")));
            assert!(single == moving[index], "{name} {index}");
            let time = (100.0 * index as f64 / 12.0).round() as u32;
            let shown = &gif.iter().find(|(until, _)| *until > time).expect("as asked").1;
            // Mixtures of colours come near; what covers an area is what it is.
            let far = |(one, other): (&[u8; 4], &[u8; 4])| {
                one.iter().zip(other).map(|(a, b)| a.abs_diff(*b)).max().unwrap_or(0)
            };
            let apart: Vec<u8> = single.iter().zip(shown).map(far).collect();
            let alike = apart.iter().filter(|far| **far == 0).count();
            assert!(apart.iter().all(|far| *far < 48), "{name} {index}: {:?}", apart.iter().max());
            assert!(alike * 100 > apart.len() * 85, "{name} {index}: {alike} of {}", apart.len());
            let inks: Vec<[u8; 3]> = Ink::ALL.into_iter().map(|ink| film.theme.rgb(ink)).collect();
            let pure =
                single.iter().zip(shown).filter(|(dot, _)| inks.iter().any(|ink| dot.starts_with(ink)));
            for (one, other) in pure {
                assert_eq!(one, other, "{name} {index}");
            }
        }
    }
}

#[test]
fn a_clear_ground_is_clear() {
    let folder = tempfile::tempdir().expect("as asked");
    let film = Film { theme: Theme::LIGHT.clear(), rate: 2, ..small(all()) };
    saved(&film, Kind::Frames, &folder.path().join("song.png"));
    let dots = png_of(&folder.path().join("song-01.png"));
    assert_eq!(dots[0][3], 0);
    assert!(dots.iter().any(|dot| dot[3] == 255));
}

#[test]
fn of_a_film_that_is_called_off_nothing_is_left_and_none_is_replaced_unasked() {
    let folder = tempfile::tempdir().expect("as asked");
    let reel = Reel::new(&Study::new(demo()), &small(all())).expect("as asked");
    let left = || fs::read_dir(folder.path()).expect("as asked").count();
    for (kind, name) in [(Kind::Gif, "a.gif"), (Kind::Apng, "a.apng"), (Kind::Frames, "a.png")] {
        let path = folder.path().join(name);
        let mut frames = 0;
        let made = save_film(&reel, kind, &path, Over::Nothing, &mut |_| {
            frames += 1;
            frames < 5
        });
        assert!(matches!(made, Err(FilmError::Stopped)));
        assert_eq!(left(), 0, "{name}");
    }
    // An earlier film of that name stays whole until the new one is.
    for (kind, name) in [(Kind::Gif, "b.gif"), (Kind::Frames, "b.png")] {
        let inside = folder.path().join(name);
        fs::create_dir(&inside).expect("as asked");
        let path = inside.join(name);
        saved(reel.film(), kind, &path);
        let all = || {
            let files = fs::read_dir(&inside).expect("as asked").map(|file| file.expect("as asked").path());
            let mut files: Vec<_> = files.map(|path| (fs::read(&path).expect("as asked"), path)).collect();
            files.sort();
            files
        };
        let (before, mut frames) = (all(), 0);
        let shorter = Reel::new(reel.study(), &Film { rate: 6, ..reel.film().clone() }).expect("as asked");
        let made = save_film(&shorter, kind, &path, Over::Anything, &mut |_| {
            frames += 1;
            frames < 5
        });
        assert!(matches!(made, Err(FilmError::Stopped)) && all() == before, "{name}");
        save_film(&shorter, kind, &path, Over::Anything, &mut |_| true).expect("as asked");
        let count = if kind == Kind::Frames { shorter.count() + 1 } else { 1 };
        assert_eq!(all().len(), count, "{name}: no frame of the earlier one");
        fs::remove_dir_all(&inside).expect("as asked");
    }
    let path = folder.path().join("a.gif");
    fs::write(&path, "mine").expect("as asked");
    let made = save_film(&reel, Kind::Gif, &path, Over::Nothing, &mut |_| true);
    assert!(matches!(made, Err(FilmError::Save(SaveError::Exists))));
    assert_eq!((fs::read(&path).expect("as asked"), left()), (b"mine".to_vec(), 1));
}

//! Time to open a score and read all its parts, against a bare pass of the quick-xml tokenizer over
//! the same text in the same run. `cargo bench --bench import [FILE]`; without a file the largest of
//! the quartets in ../shared/data.

#[path = "../common/data.rs"]
mod data;

use std::{hint::black_box, io::Read as _, path::PathBuf, time::Instant};

use elbowroom::exchange::musicxml;

const RUNS: usize = 9;

fn median_s(mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}

/// The XML out of a compressed file, so that unpacking is not timed.
fn xml(bytes: &[u8]) -> Vec<u8> {
    if !bytes.starts_with(b"PK") {
        return bytes.to_vec();
    }
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("an archive");
    let index = (0..archive.len())
        .find(|&at| {
            let entry = archive.by_index(at).expect("an entry");
            let name = entry.name().expect("a readable name");
            !name.starts_with("META-INF") && (name.ends_with(".xml") || name.ends_with(".musicxml"))
        })
        .expect("a score in the archive");
    let mut text = Vec::new();
    archive.by_index(index).expect("an entry").read_to_end(&mut text).expect("unpacks");
    text
}

fn main() {
    let named = std::env::args().skip(1).find(|arg| !arg.starts_with("--")).map(PathBuf::from);
    let Some(path) = named.or_else(|| data::shared("quartets/sq9631717.mxl")) else { return };
    let bytes = std::fs::read(&path).expect("the score can be read");
    let text = xml(&bytes);
    let megabytes = text.len() as f64 / 1e6;
    let tokens = median_s(|| {
        let mut reader = quick_xml::Reader::from_reader(&text[..]);
        let mut buffer = Vec::new();
        let mut count = 0_u64;
        while !matches!(
            reader.read_event_into(&mut buffer).expect("well-formed"),
            quick_xml::events::Event::Eof
        ) {
            count += 1;
            buffer.clear();
        }
        black_box(count);
    });
    let import = median_s(|| {
        let document = musicxml::open(&text).expect("opens");
        for part in 0..document.parts().len() {
            black_box(document.read(part).expect("reads"));
        }
    });
    println!("{megabytes:.1} MB of XML, median of {RUNS} runs");
    println!("tokenizer alone: {:.0} ms, {:.0} MB/s", tokens * 1e3, megabytes / tokens);
    println!("open and read all parts: {:.0} ms, {:.0} MB/s", import * 1e3, megabytes / import);
    println!("ratio: {:.2}", import / tokens);
}

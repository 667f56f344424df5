//! Annotated directions: a row counts where a stroke of the program starts at its place.

use std::{collections::BTreeMap, path::Path};

use crate::{pages::Pages, share, tables::rows};

/// Right and counted.
type Count = (usize, usize);

pub fn judge(pages: &Pages, judged: &Path, list: bool) -> Result<(), String> {
    let mut by_page: BTreeMap<&str, [Count; 4]> = BTreeMap::new();
    let mut of_sure: [Count; 4] = [(0, 0); 4];
    let mut nowhere = 0;
    let mut otherwise = Vec::new();
    for row in rows(&judged.join("directions.tsv"))? {
        let page = pages.of(&row)?;
        let (bar, beat, sure) = (page.bar(row.text(0))?, row.number(1)?, row.number(3)? as usize);
        if row.text(2) == "either" {
            continue;
        }
        let Some(stroke) = page.stroke_at(bar, beat) else {
            nowhere += 1;
            otherwise.push(format!("no stroke starts there   {}", page.place(bar, beat)));
            continue;
        };
        let right = stroke.direction.word() == row.text(2);
        let of_page = by_page.entry(&page.name).or_default();
        for count in [&mut of_page[sure.min(3)], &mut of_sure[sure.min(3)]] {
            count.0 += usize::from(right);
            count.1 += 1;
        }
        if !right {
            let place = page.place(bar, beat);
            otherwise.push(format!("sure {sure}, {} is annotated   {place}", row.text(2)));
        }
    }
    println!("\nDirections as annotated, where a stroke starts there ({nowhere} places without one)");
    println!("{:<28} {:>20} {:>20} {:>20}", "", "sure 3", "sure 2", "sure 1");
    let line = |name: &str, counts: &[Count; 4]| {
        let cells: Vec<String> =
            [3, 2, 1].iter().map(|&sure| share(counts[sure].0, counts[sure].1)).collect();
        println!("{name:<28} {:>20} {:>20} {:>20}", cells[0], cells[1], cells[2]);
    };
    by_page.iter().for_each(|(name, counts)| line(name, counts));
    line("all", &of_sure);
    if list {
        otherwise.iter().for_each(|place| println!("  {place}"));
    }
    Ok(())
}

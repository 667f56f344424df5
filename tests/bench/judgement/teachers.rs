//! How far two teachers agree who read the same passages without knowing of each other: the most that can be
//! asked of a program. Counted as the program is.

use std::{collections::BTreeMap, path::Path};

use elbowroom::bowing::Topic;
use strum::VariantArray as _;

use crate::{
    share,
    spots::{BARS_OFF, fits_mark},
    tables::{Row, rows},
};

type Passage = (String, String, usize);

fn passage(row: &Row) -> Passage {
    (row.file.clone(), row.part.clone(), row.movement)
}

/// Right and counted, by weight or by how sure a row is.
type Counts = [(usize, usize); 4];

fn line(name: &str, counts: &Counts) {
    let cells: Vec<String> = [3, 2, 1].iter().map(|&k| share(counts[k].0, counts[k].1)).collect();
    println!("{name:<40} {:>20} {:>20} {:>20}", cells[0], cells[1], cells[2]);
}

fn count(counts: &mut Counts, k: usize, right: bool) {
    let count = &mut counts[k.min(3)];
    *count = (count.0 + usize::from(right), count.1 + 1);
}

/// Compares the tables of two folders in the passages that both have.
pub fn judge(one: &Path, other: &Path) -> Result<(), String> {
    println!("\nTwo teachers on the same passages, by weight and by how sure");
    for (name, here, there) in [
        ("the second told what the first wrote", one, other),
        ("the first what the second wrote", other, one),
    ] {
        line(name, &told(here, there)?);
    }
    for (name, here, there) in
        [("directions, sure to the first", one, other), ("sure to the second", other, one)]
    {
        line(name, &alike(here, there)?);
    }
    Ok(())
}

/// Which spots of one teacher the other tells too, with what must or should be told.
fn told(here: &Path, there: &Path) -> Result<Counts, String> {
    let mut said: BTreeMap<Passage, Vec<(f64, &'static [&'static str])>> = BTreeMap::new();
    for row in rows(&there.join("spots.tsv"))? {
        let topic = Topic::VARIANTS.iter().find(|topic| topic.id() == row.text(2));
        let fits = fits_mark(*topic.ok_or(format!("{:?} is no kind of mark", row.text(2)))?);
        let of = said.entry(passage(&row)).or_default();
        if row.number(3)? >= 2.0 {
            of.push((row.number(0)?, fits));
        }
    }
    let mut counts = Counts::default();
    for row in rows(&here.join("spots.tsv"))? {
        let Some(said) = said.get(&passage(&row)) else { continue };
        let bar = row.number(0)?;
        let fits =
            |(at, fits): &(f64, &[&str])| (at - bar).abs() <= BARS_OFF as f64 && fits.contains(&row.text(2));
        count(&mut counts, row.number(3)? as usize, said.iter().any(fits));
    }
    Ok(counts)
}

/// Which directions of one teacher are those of the other, where both have one.
fn alike(here: &Path, there: &Path) -> Result<Counts, String> {
    let place = |row: &Row| -> Result<(Passage, String, i64), String> {
        Ok((passage(row), row.text(0).to_owned(), (100.0 * row.number(1)?).round() as i64))
    };
    let mut of_other = BTreeMap::new();
    for row in rows(&there.join("directions.tsv"))? {
        of_other.insert(place(&row)?, row.text(2).to_owned());
    }
    let mut counts = Counts::default();
    for row in rows(&here.join("directions.tsv"))? {
        if let Some(other) = of_other.get(&place(&row)?)
            && ![row.text(2), other].contains(&"either")
        {
            count(&mut counts, row.number(3)? as usize, other == row.text(2));
        }
    }
    Ok(counts)
}

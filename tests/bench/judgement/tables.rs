//! The annotated tables: one row a line, columns parted by tabs, the first row names them.

use std::{fs, path::Path};

/// A row, with what it says about where it belongs.
#[derive(Clone, Debug)]
pub struct Row {
    pub file: String,
    pub part: String,
    /// Movement, from 1.
    pub movement: usize,
    /// What follows, as it stands.
    pub rest: Vec<String>,
}

impl Row {
    /// A column after the movement.
    pub fn text(&self, column: usize) -> &str {
        self.rest.get(column).map_or("", String::as_str)
    }

    /// A number in a column after the movement.
    pub fn number(&self, column: usize) -> Result<f64, String> {
        let text = self.text(column);
        text.parse().map_err(|_| format!("{text:?} in column {} of {self:?} is no number", column + 4))
    }
}

/// Reads a table.
pub fn rows(path: &Path) -> Result<Vec<Row>, String> {
    let text = fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
    text.lines()
        .skip(1)
        .filter(|line| !line.trim().is_empty())
        .map(|line| {
            let mut cells = line.split('\t').map(str::to_owned);
            let mut next = || cells.next().ok_or(format!("{}: too few columns in {line:?}", path.display()));
            let (file, part, movement) = (next()?, next()?, next()?);
            let movement = movement.parse().map_err(|_| format!("no movement in {line:?}"))?;
            Ok(Row { file, part, movement, rest: cells.collect() })
        })
        .collect()
}

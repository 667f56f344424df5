//! What changes from one frame to the next.

/// A box of pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Patch {
    pub left: usize,
    pub top: usize,
    pub width: usize,
    pub height: usize,
}

impl Patch {
    /// The first pixel alone.
    pub const ONE: Self = Self { left: 0, top: 0, width: 1, height: 1 };

    /// All of a frame.
    pub fn whole((width, height): (u32, u32)) -> Self {
        Self { left: 0, top: 0, width: width as usize, height: height as usize }
    }

    /// The box in which two frames of this width differ; none where they are alike.
    pub fn between<T: PartialEq>(one: &[T], other: &[T], width: usize) -> Option<Self> {
        let rows = || one.chunks(width).zip(other.chunks(width)).enumerate().filter(|(_, (a, b))| a != b);
        let (top, bottom) = (rows().next()?.0, rows().last()?.0 + 1);
        let (mut left, mut right) = (width, 0);
        for (_, (a, b)) in rows() {
            let differs = |x: &usize| a[*x] != b[*x];
            left = (0..left).find(differs).unwrap_or(left);
            right = (right..width).rev().find(differs).map_or(right, |x| x + 1);
        }
        Some(Self { left, top, width: right - left, height: bottom - top })
    }

    /// The rows of a frame of this width in the box.
    pub fn rows<'a, T>(&self, frame: &'a [T], width: usize) -> impl Iterator<Item = &'a [T]> + use<'a, T> {
        let Self { left, top, width: wide, height } = *self;
        frame.chunks(width).skip(top).take(height).map(move |row| &row[left..left + wide])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_box_of_what_differs() {
        let one = [0; 20];
        let mut other = one;
        assert_eq!(Patch::between(&one, &other, 5), None);
        (other[6], other[13]) = (1, 1);
        let patch = Patch::between(&one, &other, 5).unwrap();
        assert_eq!(patch, Patch { left: 1, top: 1, width: 3, height: 2 });
        let rows: Vec<&[i32]> = patch.rows(&other, 5).collect();
        assert_eq!(rows, [[1, 0, 0], [0, 0, 1]]);
        assert_eq!(Patch::between(&one, &[1; 20], 5), Some(Patch::whole((5, 4))));
    }
}

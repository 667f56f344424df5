//! All variants of an enum as an array, so that no list of them is kept by hand.

/// The variants that `strum` lists, in the order of the enum, as an array with a length of its own.
/// `N` is the enum's count; with another number it does not compile where it is used in a constant.
pub const fn variants<T: Copy, const N: usize>(listed: &[T]) -> [T; N] {
    assert!(listed.len() == N, "as many as the enum counts");
    match listed.first_chunk() {
        Some(all) => *all,
        None => unreachable!(),
    }
}

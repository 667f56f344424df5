//! How much is read at most.

/// Largest file read, and largest text unpacked from one, bytes. Assumed; the largest score seen has
/// 11.5 MB.
pub const LIMIT: u64 = 64 << 20;

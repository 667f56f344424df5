//! The single items an edit changes: events, slurs, signs and places on the bow, by their ids.

use super::{Edit, EditError, Lesson, Pin, PinId};
use crate::score::{Bar, Event, EventId, LONGEST, Quarters, Shared, Sign, SignId, Slur, SlurId};

/// What an edit puts in the place of single items, by their ids. They are few or all there are, so lists in
/// their order are quicker than trees.
#[derive(Default)]
pub(super) struct Pieces<'a> {
    pub events: Vec<(EventId, Option<&'a Shared<Event>>)>,
    pub slurs: Vec<(SlurId, Option<&'a Slur>)>,
    pub signs: Vec<(SignId, Option<&'a Sign>)>,
    pub pins: Vec<(PinId, Option<&'a Pin>)>,
    has_bars: bool,
}

impl<'a> Pieces<'a> {
    pub fn take(&mut self, edit: &'a Edit) {
        match edit {
            Edit::Event(id, event) => self.events.push((*id, event.as_ref())),
            Edit::Slur(id, slur) => self.slurs.push((*id, slur.as_ref())),
            Edit::Sign(id, sign) => self.signs.push((*id, sign.as_ref())),
            Edit::Pin(id, pin) => self.pins.push((*id, pin.as_ref())),
            Edit::Bars(_) => self.has_bars = true,
            Edit::Step { .. }
            | Edit::Title(_)
            | Edit::Part(_)
            | Edit::Setup(_)
            | Edit::Silenced(_)
            | Edit::Pencilled(_)
            | Edit::Kept(_)
            | Edit::Spoken(_)
            | Edit::Handout(_) => {}
        }
    }

    /// Puts all in the order of the ids when everything is taken; of two for one item the later counts.
    pub fn settle(&mut self) {
        fn in_order<K: Ord + Copy, T>(list: &mut Vec<(K, T)>) {
            list.reverse();
            list.sort_by_key(|(id, _)| *id);
            list.dedup_by_key(|(id, _)| *id);
        }
        in_order(&mut self.events);
        in_order(&mut self.slurs);
        in_order(&mut self.signs);
        in_order(&mut self.pins);
    }

    /// Asks of what is new whether it lies where music may be; the bars are in their place already.
    pub fn check_length(&self, next: &Lesson) -> Result<(), EditError> {
        let bars = next.score.bars.last().filter(|_| self.has_bars).map(Bar::end);
        let events = self.events.iter().filter_map(|(_, event)| *event).map(|event| event.end());
        if events.chain(bars).max() > Some(Quarters::from(LONGEST)) {
            return Err(EditError(format!("The music would be longer than {LONGEST} quarter notes")));
        }
        Ok(())
    }

    /// Puts everything in its place, and notes what leads back.
    pub fn put_into(self, next: &mut Lesson, back: &mut Vec<Edit>) {
        let score = &mut next.score;
        let sorts = !(self.events.is_empty() && self.slurs.is_empty() && self.signs.is_empty());
        if !self.events.is_empty() {
            let old = put(&mut score.events, &self.events, |event| event.id);
            back.extend(old.into_iter().map(|(id, event)| Edit::Event(id, event)));
        }
        if !self.slurs.is_empty() {
            let old = put(&mut score.slurs, &self.slurs, |slur| slur.id);
            back.extend(old.into_iter().map(|(id, slur)| Edit::Slur(id, slur)));
        }
        if !self.signs.is_empty() {
            let old = put(&mut score.signs, &self.signs, |sign| sign.id);
            back.extend(old.into_iter().map(|(id, sign)| Edit::Sign(id, sign)));
        }
        if !self.pins.is_empty() {
            let old = put(&mut next.pins, &self.pins, |pin| pin.id);
            back.extend(old.into_iter().map(|(id, pin)| Edit::Pin(id, pin)));
            next.pins.sort_by_key(|pin| pin.id);
        }
        if sorts {
            score.sort();
        }
    }
}

/// Puts items in the place of those with their ids, or takes them out; gives those back.
fn put<T: Clone, K: Ord + Copy>(
    list: &mut Vec<T>,
    new: &[(K, Option<&T>)],
    id: impl Fn(&T) -> K,
) -> Vec<(K, Option<T>)> {
    let mut old = Vec::with_capacity(new.len());
    let mut was_there = vec![false; new.len()];
    list.retain_mut(|item| {
        let key = id(item);
        let Ok(place) = new.binary_search_by_key(&key, |(id, _)| *id) else { return true };
        was_there[place] = true;
        let to = new[place].1;
        let was = match to {
            Some(to) => std::mem::replace(item, to.clone()),
            None => item.clone(),
        };
        old.push((key, Some(was)));
        to.is_some()
    });
    for ((key, item), _) in new.iter().zip(was_there).filter(|(_, was_there)| !was_there) {
        old.push((*key, None));
        list.extend(item.cloned());
    }
    old
}

/// The items with some ids, which come in order, are alike in both lists.
pub(super) fn same<T: PartialEq, K: Ord + Copy, V>(
    one: &[T],
    other: &[T],
    ids: &[(K, V)],
    id: impl Fn(&T) -> K + Copy,
) -> bool {
    let of = |list| -> Vec<(K, &T)> {
        if ids.is_empty() {
            return Vec::new();
        }
        let mut list = by_id(list, id);
        list.retain(|(key, _)| ids.binary_search_by_key(key, |(id, _)| *id).is_ok());
        list
    };
    of(one) == of(other)
}

/// The items in the order of their ids.
fn by_id<T, K: Ord + Copy>(list: &[T], id: impl Fn(&T) -> K) -> Vec<(K, &T)> {
    let mut list: Vec<(K, &T)> = list.iter().map(|item| (id(item), item)).collect();
    list.sort_unstable_by_key(|(key, _)| *key);
    list
}

/// An edit for every id whose item differs between the lists.
pub(super) fn differences<T: Clone + PartialEq, K: Ord + Copy>(
    old: &[T],
    new: &[T],
    id: impl Fn(&T) -> K + Copy,
    edit: impl Fn(K, Option<T>) -> Edit,
) -> Vec<Edit> {
    // Most is the same, from either end.
    let same = old.iter().zip(new).take_while(|(old, new)| old == new).count();
    let (old, new) = (&old[same..], &new[same..]);
    let same = old.iter().rev().zip(new.iter().rev()).take_while(|(old, new)| old == new).count();
    let (old, new) = (by_id(&old[..old.len() - same], id), by_id(&new[..new.len() - same], id));
    let is_new = |key: &K| new.binary_search_by_key(key, |(id, _)| *id).is_ok();
    let gone = old.iter().filter(|(key, _)| !is_new(key)).map(|(key, _)| edit(*key, None));
    let before = |key: &K| old.binary_search_by_key(key, |(id, _)| *id).ok().map(|place| old[place].1);
    let changed = new.iter().filter(|(key, item)| before(key).is_none_or(|before| before != *item));
    gone.chain(changed.map(|(key, item)| edit(*key, Some((*item).clone())))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_two_for_one_item_the_later_counts() {
        let lesson = crate::lesson::demo::demo();
        let old = &lesson.score.slurs[0];
        let slur = |phrase| Some(Slur { phrase, ..*old });
        let edits =
            [Edit::Slur(old.id, slur(true)), Edit::Slur(old.id, None), Edit::Slur(old.id, slur(true))];
        let mut pieces = Pieces::default();
        edits.iter().for_each(|edit| pieces.take(edit));
        pieces.settle();
        assert_eq!(pieces.slurs, [(old.id, slur(true).as_ref())]);
        let (next, back) = Edit::Step { what: "A".into(), edits: edits.to_vec() }.apply(&lesson).unwrap();
        assert!(next.score.slurs[0].phrase);
        assert_eq!(back.apply(&next).unwrap().0, lesson);
    }
}

//! Bookmarks and page labels.

use lopdf::{Dictionary, Object, ObjectId, dictionary};

use crate::page::Page;

/// A run of pages under one heading.
struct Section<'a> {
    heading: &'a str,
    /// Titles and page objects.
    pages: Vec<(&'a str, ObjectId)>,
}

/// The outline: sections, and under each its pages (ISO 32000-1, 12.3.3). Pages without a section
/// stand at the top.
pub(super) fn bookmarks(pages: &[Page], ids: &[ObjectId], file: &mut lopdf::Document) -> ObjectId {
    let mut sections: Vec<Section<'_>> = Vec::new();
    for (page, &id) in pages.iter().zip(ids) {
        match sections.last_mut() {
            Some(section) if section.heading == page.section => section.pages.push((&page.title, id)),
            _ => sections.push(Section { heading: &page.section, pages: vec![(&page.title, id)] }),
        }
    }
    let root = file.new_object_id();
    let mut top = Vec::new();
    // Every entry is open, so the root counts all of them.
    let mut shown = 0;
    for section in &sections {
        if section.heading.is_empty() {
            top.extend(section.pages.iter().map(|&(title, page)| (file.new_object_id(), entry(title, page))));
        } else if let Some(&(_, first)) = section.pages.first() {
            let heading = file.new_object_id();
            let children =
                section.pages.iter().map(|&(title, page)| (file.new_object_id(), entry(title, page))).collect();
            let mut dictionary = entry(section.heading, first);
            shown += chain(heading, children, &mut dictionary, file);
            top.push((heading, dictionary));
        }
    }
    let mut dictionary = dictionary! { "Type" => "Outlines" };
    shown += chain(root, top, &mut dictionary, file);
    dictionary.set("Count", shown);
    file.set_object(root, dictionary);
    root
}

/// Page labels (ISO 32000-1, 12.4.2): each page has its own, as a prefix without a number.
pub(super) fn labels(pages: &[Page]) -> Dictionary {
    let numbers = (0_i64..).zip(pages).flat_map(|(index, page)| {
        [Object::Integer(index), Object::Dictionary(dictionary! { "P" => line(&page.label) })]
    });
    dictionary! { "Nums" => numbers.collect::<Vec<_>>() }
}

/// A text string on one line: control characters become spaces.
pub(super) fn line(text: &str) -> Object {
    lopdf::text_string(&text.replace(char::is_control, " "))
}

fn entry(title: &str, page: ObjectId) -> Dictionary {
    dictionary! { "Title" => line(title), "Dest" => vec![page.into(), "Fit".into()] }
}

/// Links the children of an entry to each other and to it; returns how many there are.
fn chain(
    parent: ObjectId,
    mut children: Vec<(ObjectId, Dictionary)>,
    entry: &mut Dictionary,
    file: &mut lopdf::Document,
) -> i64 {
    let ids: Vec<ObjectId> = children.iter().map(|&(id, _)| id).collect();
    let count = i64::try_from(ids.len()).unwrap_or(i64::MAX);
    if let (Some(&first), Some(&last)) = (ids.first(), ids.last()) {
        entry.set("First", first);
        entry.set("Last", last);
        entry.set("Count", count);
    }
    for ((_, dictionary), &next) in children.iter_mut().zip(ids.iter().skip(1)) {
        dictionary.set("Next", next);
    }
    for ((_, dictionary), &previous) in children.iter_mut().skip(1).zip(&ids) {
        dictionary.set("Prev", previous);
    }
    for (id, mut dictionary) in children {
        dictionary.set("Parent", parent);
        file.set_object(id, dictionary);
    }
    count
}

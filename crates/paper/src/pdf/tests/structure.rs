//! The tag tree, read back from the bytes of the file by another library (lopdf), against ISO 32000-1, 14.7 and 14.8, and
//! ISO 14289-1 (PDF/UA-1).

use std::collections::BTreeSet;

use lopdf::content::Content;
use lopdf::{Dictionary, Document as Read, Object, ObjectId};

use super::*;

/// A structure element, its kind as written, and what it holds in order.
#[derive(Debug)]
struct Element {
    kind: String,
    alt: Option<String>,
    scope: Option<String>,
    elements: Vec<Element>,
    /// Marked content (page, number) and annotations.
    contents: Vec<(ObjectId, i64)>,
    annotations: Vec<ObjectId>,
}

struct File {
    read: Read,
    root: Element,
}

fn name(object: &Object) -> String {
    String::from_utf8_lossy(object.as_name().unwrap_or_default()).into_owned()
}

fn words(dictionary: &Dictionary, key: &[u8]) -> Option<String> {
    let bytes = dictionary.get(key).ok()?.as_str().ok()?;
    Some(match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(wide) => {
            let units: Vec<u16> = wide.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => String::from_utf8_lossy(bytes).into_owned(),
    })
}

impl File {
    fn read(bytes: &[u8]) -> File {
        let read = Read::load_mem(bytes).expect("lopdf reads the file");
        let tree = File::resolve(&read, read.catalog().unwrap().get(b"StructTreeRoot").unwrap()).as_dict().unwrap().clone();
        let root = File::element(&read, &tree, None);
        File { read, root }
    }

    fn resolve<'r>(read: &'r Read, object: &'r Object) -> &'r Object {
        read.dereference(object).unwrap().1
    }

    fn element(read: &Read, dictionary: &Dictionary, page: Option<ObjectId>) -> Element {
        let page = dictionary.get(b"Pg").ok().and_then(|page| page.as_reference().ok()).or(page);
        let mut scope = None;
        if let Ok(attributes) = dictionary.get(b"A") {
            let attributes = File::resolve(read, attributes);
            let list = attributes.as_array().cloned().unwrap_or_else(|_| vec![attributes.clone()]);
            for one in &list {
                let one = File::resolve(read, one).as_dict().unwrap();
                scope = one.get(b"Scope").ok().map(name).or(scope);
            }
        }
        let mut element = Element {
            kind: dictionary.get(b"S").map(name).unwrap_or_default(),
            alt: words(dictionary, b"Alt"),
            scope,
            elements: vec![],
            contents: vec![],
            annotations: vec![],
        };
        let Ok(kids) = dictionary.get(b"K") else { return element };
        let kids = File::resolve(read, kids);
        for kid in kids.as_array().cloned().unwrap_or_else(|_| vec![kids.clone()]) {
            let kid = File::resolve(read, &kid);
            if let Ok(number) = kid.as_i64() {
                element.contents.push((page.expect("marked content has a page"), number));
                continue;
            }
            let kid = kid.as_dict().expect("a number or a dictionary");
            match kid.get(b"Type").map(name).unwrap_or_default().as_str() {
                "MCR" => {
                    let page = kid.get(b"Pg").ok().and_then(|page| page.as_reference().ok()).or(page).unwrap();
                    element.contents.push((page, kid.get(b"MCID").unwrap().as_i64().unwrap()));
                }
                "OBJR" => element.annotations.push(kid.get(b"Obj").unwrap().as_reference().unwrap()),
                _ => element.elements.push(File::element(read, kid, page)),
            }
        }
        element
    }
}

impl Element {
    fn all<'e>(&'e self, out: &mut Vec<&'e Element>) {
        out.push(self);
        self.elements.iter().for_each(|inner| inner.all(out));
    }

    fn of_kind(&self, kind: &str) -> Vec<&Element> {
        let mut all = Vec::new();
        self.all(&mut all);
        all.into_iter().filter(|element| element.kind == kind).collect()
    }
}

fn written(document: &Document, paper: Paper) -> File {
    let bytes = bytes();
    File::read(&to_pdf(document, &options(&bytes, paper)).expect("a PDF").bytes)
}

/// ISO 32000-1, 14.8.4.3.4 (tables) and Table 349 (Scope): rows of cells, heads that say what they head.
#[test]
fn every_number_of_a_table_is_a_cell_and_every_head_has_a_scope() {
    let file = written(&everything(), Paper::A4);
    let tables = file.root.of_kind("Table");
    assert_eq!(tables.len(), 1);
    let kinds: Vec<&str> = tables[0].elements.iter().map(|element| element.kind.as_str()).collect();
    assert_eq!(kinds, ["Caption", "THead", "TBody"]);
    let heads = tables[0].elements[1].of_kind("TH");
    assert!(heads.len() == 2 && heads.iter().all(|head| head.scope.as_deref() == Some("Column")));
    let rows = tables[0].elements[2].of_kind("TR");
    assert_eq!(rows.len(), 150);
    for row in rows {
        let kinds: Vec<&str> = row.elements.iter().map(|cell| cell.kind.as_str()).collect();
        assert_eq!(kinds, ["TH", "TD"]);
        assert_eq!(row.elements[0].scope.as_deref(), Some("Row"));
        assert!(row.elements.iter().all(|cell| !cell.contents.is_empty()));
    }
}

/// ISO 32000-1, 14.8.4: what a document's parts are called; ISO 14289-1, 7.4.2: headings descend without a gap.
#[test]
fn the_tags_say_what_everything_is() {
    let mut document = everything();
    document.blocks.insert(1, Block::Contents);
    let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 680 200\"><title>T</title><desc>D</desc>\
                   <rect width=\"300\" height=\"100\"/><text x=\"10\" y=\"150\" font-family=\"Liberation Sans\">Seats</text></svg>";
    let chart = |id: &str, caption| crate::ChartDrawing {
        id: id.to_owned(),
        svg: drawing.to_owned(),
        title: format!("Seats filled {id}"),
        description: "Fewest on Monday.".to_owned(),
        caption,
        width: 680.0,
        height: 200.0,
    };
    document.blocks.push(Block::Chart(chart("a", text("Counted at the door."))));
    document.blocks.push(Block::Chart(chart("b", Vec::new())));
    let file = written(&document, Paper::Letter);
    let mut all = Vec::new();
    file.root.all(&mut all);
    let levels: Vec<u32> = all.iter().filter_map(|element| element.kind.strip_prefix('H')?.parse().ok()).collect();
    assert_eq!(levels.first(), Some(&1));
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
    for (kind, count) in [("Strong", 1), ("Em", 1), ("Code", 1), ("Note", 1), ("TOC", 1), ("TOCI", 1)] {
        assert_eq!(file.root.of_kind(kind).len(), count, "{kind}");
    }
    // Tick boxes are the labels of their items, and say whether they are ticked.
    let labelled = file.root.of_kind("LI").iter().filter(|item| item.elements[0].kind == "Lbl" && item.elements[1].kind == "LBody").count();
    assert_eq!(labelled, file.root.of_kind("LI").len());
    // ISO 14289-1, 7.3: a figure says in words what it shows.
    let figures = file.root.of_kind("Figure");
    assert_eq!(figures.len(), 2);
    for (figure, id) in figures.iter().zip(["a", "b"]) {
        let alt = figure.alt.as_deref().unwrap_or_default();
        assert!(alt.contains(&format!("Seats filled {id}")) && alt.contains("Fewest on Monday."), "{alt:?}");
        assert!(!figure.contents.is_empty(), "its strokes stand in it");
    }
    // Kinds that PDF 1.7 does not know are mapped to kinds that it knows (ISO 32000-1, 14.7.3).
    let roots = file.read.catalog().unwrap().get(b"StructTreeRoot").unwrap();
    let map = File::resolve(&file.read, File::resolve(&file.read, roots).as_dict().unwrap().get(b"RoleMap").unwrap()).as_dict().unwrap();
    assert_eq!((name(map.get(b"Strong").unwrap()), name(map.get(b"Em").unwrap())), ("Span".into(), "Span".into()));
}

/// ISO 14289-1, 7.2: the language is stated; 7.1: the title is shown, all content is tagged or an artifact, once.
#[test]
fn all_that_is_drawn_is_tagged_once_or_is_an_artifact() {
    let document = everything();
    let file = written(&document, Paper::A4);
    let catalog = file.read.catalog().unwrap();
    assert_eq!(words(catalog, b"Lang").as_deref(), Some("en-GB"));
    assert!(words(file.read.get_dictionary(catalog.get(b"StructTreeRoot").unwrap().as_reference().unwrap()).unwrap(), b"Lang").is_none());
    let mut all = Vec::new();
    file.root.all(&mut all);
    let mut tagged = BTreeSet::new();
    for content in all.iter().flat_map(|element| &element.contents) {
        assert!(tagged.insert(*content), "{content:?} stands in the tree twice");
    }
    let mut drawn = BTreeSet::new();
    for page in file.read.get_pages().into_values() {
        let content = Content::decode(&file.read.get_page_content(page)).expect("a content stream");
        let resources = file.read.get_dictionary(page).unwrap().get(b"Resources").unwrap();
        let resources = File::resolve(&file.read, resources).as_dict().unwrap();
        let mut open: Vec<bool> = Vec::new();
        for operation in &content.operations {
            match operation.operator.as_str() {
                "BMC" | "BDC" => {
                    let kind = name(&operation.operands[0]);
                    let artifact = kind == "Artifact";
                    open.push(true);
                    let properties = operation.operands.get(1).map(|found| match found {
                        Object::Name(key) => {
                            let lists = File::resolve(&file.read, resources.get(b"Properties").unwrap()).as_dict().unwrap();
                            File::resolve(&file.read, lists.get(key).unwrap())
                        }
                        other => other,
                    });
                    let number = properties.and_then(|found| found.as_dict().ok()?.get(b"MCID").ok()?.as_i64().ok());
                    assert!(artifact || number.is_some(), "{operation:?}");
                    drawn.extend(number.map(|number| (page, number)));
                }
                "EMC" => assert_eq!(open.pop(), Some(true)),
                "Tj" | "TJ" | "f" | "f*" | "S" | "B" | "Do" | "sh" => assert!(!open.is_empty(), "{operation:?} is not marked"),
                _ => {}
            }
        }
        assert!(open.is_empty());
    }
    assert_eq!(tagged, drawn);
}

/// ISO 14289-1, 7.18.5: a link is tagged as one, its annotation stands in the tree and says where it leads.
#[test]
fn every_link_stands_in_the_tree() {
    let file = written(&everything(), Paper::A4);
    let links = file.root.of_kind("Link");
    assert_eq!(links.len(), 4);
    let mut in_tree: Vec<ObjectId> = links.iter().flat_map(|link| link.annotations.clone()).collect();
    let mut on_pages = Vec::new();
    for page in file.read.get_pages().into_values() {
        let Ok(list) = file.read.get_dictionary(page).unwrap().get(b"Annots") else { continue };
        on_pages.extend(File::resolve(&file.read, list).as_array().unwrap().iter().map(|one| one.as_reference().unwrap()));
    }
    in_tree.sort_unstable();
    on_pages.sort_unstable();
    assert_eq!(in_tree, on_pages);
    for annotation in on_pages {
        let annotation = file.read.get_dictionary(annotation).unwrap();
        assert_eq!(name(annotation.get(b"Subtype").unwrap()), "Link");
        assert!(annotation.get(b"StructParent").is_ok());
        assert!(words(annotation, b"Contents").is_some_and(|words| !words.is_empty()));
    }
    // A reference to a note, and the way back, stand apart from links in the text.
    assert_eq!(file.root.of_kind("Reference").len(), 1);
    assert_eq!(file.root.of_kind("Note")[0].of_kind("Link").len(), 1);
}

/// The text of each sheet without a program of the machine.
#[test]
fn the_text_of_each_sheet_is_read_back() {
    let bytes = bytes();
    let document = everything();
    let output = to_pdf(&document, &options(&bytes, Paper::A4)).expect("a PDF");
    let sheets = text_by_sheet(&output.bytes);
    assert_eq!(sheets.len(), output.pages);
    let all = sheets.join(" ").replace(' ', "");
    for number in numbers(&document) {
        assert!(all.contains(&number.text.replace(' ', "")), "{}", number.text);
    }
    for (at, sheet) in sheets.iter().enumerate() {
        assert!(sheet.contains(&format!("page {} of {}", at + 1, output.pages)), "{sheet}");
        assert_eq!(sheet.contains("A document"), at > 0, "the running head begins on the second sheet");
    }
}

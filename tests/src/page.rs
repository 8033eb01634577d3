//! An HTML page taken apart by a small scan: tags with their attributes, facts, the text that a reader sees. Enough for pages that
//! our own renderer writes (quoted attributes, no comments, no `<` in text), and strict about it.

/// An opening tag with its attributes, entities resolved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tag {
    /// Element name.
    pub name: String,
    /// Names and values; a bare attribute has an empty value.
    pub attributes: Vec<(String, String)>,
}

impl Tag {
    /// An attribute's value.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

/// A page.
#[derive(Debug, Clone)]
pub struct Page {
    /// Every opening tag in order.
    pub tags: Vec<Tag>,
    /// Visible text: everything outside tags, `head` and `style`, entities resolved, white space collapsed.
    pub text: String,
    /// What stands in `style` elements.
    pub style: String,
}

/// Elements that have no end tag.
const VOID: [&str; 5] = ["meta", "link", "br", "hr", "img"];

impl Page {
    /// Takes a page apart.
    ///
    /// # Panics
    /// When tags do not nest or a tag does not end: the page is not ours or is broken.
    pub fn parse(html: &str) -> Self {
        let (mut tags, mut open, mut text, mut style) = (Vec::new(), Vec::<String>::new(), String::new(), String::new());
        let mut rest = html.strip_prefix("<!DOCTYPE html>").expect("the page begins with its document type");
        while let Some(at) = rest.find('<') {
            let before = &rest[..at];
            match open.last().map(String::as_str) {
                Some("style") => style.push_str(before),
                _ if !open.iter().any(|name| name == "head") => {
                    text.push_str(&unescape(before));
                }
                _ => {}
            }
            rest = &rest[at + 1..];
            let end = tag_end(rest);
            let inner = &rest[..end];
            rest = &rest[end + 1..];
            if let Some(name) = inner.strip_prefix('/') {
                assert_eq!(open.pop().as_deref(), Some(name.trim()), "tags nest; near {:?}", &rest[..rest.len().min(80)]);
            } else {
                let closed = inner.ends_with('/');
                let tag = tag(inner.trim_end_matches('/'));
                if !closed && !VOID.contains(&tag.name.as_str()) {
                    open.push(tag.name.clone());
                }
                if !["a", "b", "strong", "em", "data", "bdi", "span", "sup", "sub", "code", "tspan"].contains(&tag.name.as_str()) {
                    text.push(' ');
                }
                tags.push(tag);
            }
        }
        assert!(open.is_empty(), "open to the end: {open:?}");
        Self { tags, text: text.split_whitespace().collect::<Vec<_>>().join(" "), style }
    }

    /// The visible text of the beginning of a page, whose tags may be open at the end.
    pub fn parse_part(html: &str) -> String {
        let body = html.split_once("<body>").map_or(html, |(_, body)| body);
        let mut text = String::new();
        for (at, piece) in body.split('<').enumerate() {
            let visible = if at == 0 { piece } else { piece.split_once('>').map_or("", |(_, after)| after) };
            text.push_str(&unescape(visible));
        }
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Id and value of every fact shown.
    pub fn facts(&self) -> Vec<(&str, &str)> {
        self.named("data").map(|tag| (tag.get("data-fact").unwrap(), tag.get("value").unwrap())).collect()
    }

    /// The tags of a name.
    pub fn named<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Tag> {
        self.tags.iter().filter(move |tag| tag.name == name)
    }
}

/// Where the tag ends: the first `>` outside quotes.
fn tag_end(rest: &str) -> usize {
    let mut quoted = false;
    for (at, byte) in rest.bytes().enumerate() {
        match byte {
            b'"' => quoted = !quoted,
            b'>' if !quoted => return at,
            _ => {}
        }
    }
    panic!("a tag does not end: {:?}", &rest[..rest.len().min(80)])
}

fn tag(inner: &str) -> Tag {
    let name_end = inner.find(char::is_whitespace).unwrap_or(inner.len());
    let mut attributes = Vec::new();
    let mut rest = inner[name_end..].trim();
    while !rest.is_empty() {
        let key_end = rest.find(|c: char| c == '=' || c.is_whitespace()).unwrap_or(rest.len());
        let key = rest[..key_end].to_owned();
        rest = &rest[key_end..];
        let mut value = String::new();
        if let Some(after) = rest.strip_prefix("=\"") {
            let end = after.find('"').unwrap();
            value = unescape(&after[..end]);
            rest = &after[end + 1..];
        } else {
            assert!(!rest.starts_with('='), "attributes are quoted: {inner:?}");
        }
        attributes.push((key, value));
        rest = rest.trim_start();
    }
    Tag { name: inner[..name_end].to_owned(), attributes }
}

/// Resolves the entities that our renderer writes.
pub fn unescape(text: &str) -> String {
    let plain = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&#39;", "'").replace("&#x27;", "'");
    plain.replace("&nbsp;", "\u{a0}").replace("&amp;", "&")
}

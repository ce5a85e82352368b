//! Pictures as a PDF (ISO 32000-1), one a page: text that can be selected and searched, with its fonts in the file.

use std::collections::BTreeMap;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::font::Weight;
use super::ink::{Ink, Theme};
use super::look::{Edge, Look, Part, State};
use super::pdf_font::Used;
use super::picture::{Anchor, Form, Item, Picture, Text};

/// How hard streams are packed, 0 to 10; beyond 6 a file hardly gets smaller. Our own setting.
const PACKED: u8 = 6;

/// How far along its tangent an ellipse's control points lie for a quarter of it, as a share of the radius.
const ROUND: f64 = 0.552_284_749_8;

/// The bytes of a PDF with these pictures as its pages, which have to be in points.
///
/// The same pictures give the same bytes: there is no date in it.
#[expect(clippy::missing_panics_doc, reason = "numbers do not run out")]
pub fn document(pages: &[Picture], title: &str) -> Vec<u8> {
    let mut refs = (1..).map(Ref::new);
    let mut next = || refs.next().expect("there are more numbers than pages");
    let (catalog, tree, info) = (next(), next(), next());
    let fonts = Weight::ALL.map(|weight| (weight, next()));
    let mut pdf = Pdf::new();
    let mut used: BTreeMap<Weight, Used> = Weight::ALL.map(|weight| (weight, Used::new(weight))).into();
    let ids: Vec<(Ref, Ref)> = pages.iter().map(|_| (next(), next())).collect();
    for (page, (id, content)) in pages.iter().zip(&ids) {
        let (width, height) = (page.size.0 as f32, page.size.1 as f32);
        let mut of = pdf.page(*id);
        of.parent(tree).media_box(Rect::new(0.0, 0.0, width, height)).contents(*content);
        let mut resources = of.resources();
        let mut names = resources.fonts();
        for (weight, font) in fonts {
            names.pair(name(weight), font);
        }
        names.finish();
        resources.finish();
        of.finish();
        pdf.stream(*content, &compress_to_vec_zlib(&drawn(page, &mut used), PACKED)).filter(Filter::FlateDecode);
    }
    pdf.catalog(catalog).pages(tree).viewer_preferences().display_doc_title(true);
    pdf.pages(tree).kids(ids.iter().map(|(page, _)| *page)).count(i32::try_from(ids.len()).unwrap_or(i32::MAX));
    pdf.document_info(info).title(TextStr(title)).creator(TextStr("panfold"));
    for (weight, id) in fonts {
        used[&weight].embed(&mut pdf, id, &mut next);
    }
    pdf.finish()
}

/// The name of a font in a page.
fn name(weight: Weight) -> Name<'static> {
    Name(if weight == Weight::Bold { b"Bold" } else { b"Regular" })
}

/// The content of a page.
fn drawn(page: &Picture, used: &mut BTreeMap<Weight, Used>) -> Vec<u8> {
    let mut pen = Pen { content: Content::new(), used };
    // Pictures count downwards from the top, PDF upwards from the bottom.
    let (x, y) = page.origin;
    pen.content.transform([1.0, 0.0, 0.0, -1.0, -x as f32, (page.size.1 + y) as f32]);
    pen.content.set_line_cap(LineCapStyle::RoundCap).set_line_join(LineJoinStyle::RoundJoin);
    pen.items(&page.items, State::Plain);
    pen.content.finish().into_vec()
}

struct Pen<'a> {
    content: Content,
    used: &'a mut BTreeMap<Weight, Used>,
}

impl Pen<'_> {
    fn items(&mut self, items: &[Item], state: State) {
        for item in items {
            match item {
                Item::Shape(part, form) => {
                    if let Some(look) = part.look(state) {
                        self.shape(*part, form, look);
                    }
                }
                Item::Group(group) => self.items(&group.items, group.state),
                Item::Placed { at, scale, items } => {
                    let scale = *scale as f32;
                    self.content.save_state().transform([scale, 0.0, 0.0, scale, at.0 as f32, at.1 as f32]);
                    self.items(items, state);
                    self.content.restore_state();
                }
            }
        }
    }

    fn shape(&mut self, _part: Part, form: &Form, look: Look) {
        if let Form::Text(text) = form {
            return self.text(text, look);
        }
        if let Some(ink) = look.fill {
            let [r, g, b] = rgb(ink);
            self.content.set_fill_rgb(r, g, b);
        }
        if let Some(edge) = look.edge {
            self.edge(edge);
        }
        let closed = self.path(form);
        match (look.fill, look.edge) {
            (Some(_), Some(_)) if closed => self.content.fill_nonzero_and_stroke(),
            (Some(_), _) => self.content.fill_nonzero(),
            (None, Some(_)) => self.content.stroke(),
            (None, None) => self.content.end_path(),
        };
    }

    fn edge(&mut self, edge: Edge) {
        let [r, g, b] = rgb(edge.ink);
        self.content.set_stroke_rgb(r, g, b).set_line_width(edge.width as f32);
        let dash = edge.dash.map(|(on, off)| [on as f32, off as f32]);
        self.content.set_dash_pattern(dash.into_iter().flatten(), 0.0);
    }

    /// Puts the path of a form; whether it is closed.
    fn path(&mut self, form: &Form) -> bool {
        match form {
            Form::Ellipse { centre, radii, turn } => self.ellipse(*centre, *radii, *turn),
            Form::Rectangle { at, size, round } => self.rectangle(*at, *size, *round),
            Form::Line(points) => {
                for (i, (x, y)) in points.iter().enumerate() {
                    let (x, y) = (*x as f32, *y as f32);
                    if i == 0 {
                        self.content.move_to(x, y)
                    } else {
                        self.content.line_to(x, y)
                    };
                }
                let closed = points.len() > 2 && points.first() == points.last();
                if closed {
                    self.content.close_path();
                }
                return closed;
            }
            Form::Text(_) => return false,
        }
        true
    }

    fn ellipse(&mut self, (x, y): (f64, f64), (rx, ry): (f64, f64), turn: f64) {
        let (sin, cos) = turn.to_radians().sin_cos();
        let at = |u: f64, v: f64| {
            let (u, v) = (rx * u, ry * v);
            ((x + u * cos - v * sin) as f32, (y + u * sin + v * cos) as f32)
        };
        let start = at(1.0, 0.0);
        self.content.move_to(start.0, start.1);
        for (from, to) in
            [((1.0, 0.0), (0.0, 1.0)), ((0.0, 1.0), (-1.0, 0.0)), ((-1.0, 0.0), (0.0, -1.0)), ((0.0, -1.0), (1.0, 0.0))]
        {
            let first = at(from.0 + ROUND * to.0, from.1 + ROUND * to.1);
            let second = at(to.0 + ROUND * from.0, to.1 + ROUND * from.1);
            let end = at(to.0, to.1);
            self.content.cubic_to(first.0, first.1, second.0, second.1, end.0, end.1);
        }
        self.content.close_path();
    }

    fn rectangle(&mut self, (x, y): (f64, f64), (w, h): (f64, f64), round: f64) {
        if round == 0.0 {
            self.content.rect(x as f32, y as f32, w as f32, h as f32);
            return;
        }
        // Corner by corner clockwise: the corner, and the directions of the sides that meet there.
        let corners = [
            (x + w, y, (1.0, 0.0), (0.0, 1.0)),
            (x + w, y + h, (0.0, 1.0), (-1.0, 0.0)),
            (x, y + h, (-1.0, 0.0), (0.0, -1.0)),
            (x, y, (0.0, -1.0), (1.0, 0.0)),
        ];
        self.content.move_to((x + round) as f32, y as f32);
        for (cx, cy, (ax, ay), (bx, by)) in corners {
            let point = |a: f64, b: f64| ((cx - a * ax + b * bx) as f32, (cy - a * ay + b * by) as f32);
            let (from, first) = (point(round, 0.0), point(round * (1.0 - ROUND), 0.0));
            let (second, to) = (point(0.0, round * (1.0 - ROUND)), point(0.0, round));
            self.content.line_to(from.0, from.1);
            self.content.cubic_to(first.0, first.1, second.0, second.1, to.0, to.1);
        }
        self.content.close_path();
    }

    fn text(&mut self, text: &Text, look: Look) {
        if text.text.is_empty() && text.small.is_empty() {
            return;
        }
        let weight = Weight::of(look.bold);
        let left = match text.anchor {
            Anchor::Start => text.at.0,
            Anchor::Middle => text.at.0 - weight.width_of(text) / 2.0,
            Anchor::End => text.at.0 - weight.width_of(text),
        };
        let [r, g, b] = rgb(look.fill.unwrap_or(Ink::Text));
        self.content.set_fill_rgb(r, g, b).begin_text();
        self.content.set_text_matrix([1.0, 0.0, 0.0, -1.0, left as f32, text.at.1 as f32]);
        let used = self.used.get_mut(&weight).expect("every weight is there");
        for (text, size) in [(&text.text, text.size), (&text.small, text.share * text.size)] {
            if !text.is_empty() {
                self.content.set_font(name(weight), size as f32).show(Str(&used.encode(text)));
            }
        }
        self.content.end_text();
    }
}

/// An ink by day, each part from 0 to 1.
fn rgb(ink: Ink) -> [f32; 3] {
    ink.colour(Theme::Light).0.map(|part| f32::from(part) / 255.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::face::Options;
    use crate::drawing::poster;
    use crate::drawing::sheet::Paper;
    use crate::pan::layouts;

    fn all() -> Vec<Picture> {
        layouts().iter().flat_map(|pan| poster::pan(pan, &Options::default(), Paper::A4)).collect()
    }

    /// How often a text stands in a file.
    fn times(file: &[u8], text: &str) -> usize {
        file.windows(text.len()).filter(|window| *window == text.as_bytes()).count()
    }

    #[test]
    fn every_picture_is_a_page_and_both_fonts_are_there_once() {
        let pages = all();
        let file = document(&pages, "pans");
        assert_eq!(times(&file, "/Type /Page\n"), pages.len());
        assert_eq!((times(&file, "/FontFile2"), times(&file, "/ToUnicode")), (2, 2));
        assert!(file.len() < 150_000, "{} bytes: only the letters that are used", file.len());
    }

    #[test]
    fn same_pictures_give_same_bytes() {
        assert!(document(&all(), "pans") == document(&all(), "pans"));
    }

    #[test]
    fn a_pdf_without_pages_is_still_one() {
        assert!(document(&[], "").starts_with(b"%PDF-"));
    }
}

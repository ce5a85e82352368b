//! Pictures as SVG 1.1.
//!
//! What a script that lights notes can rely on: every note of a pan and every stroke of percussion is a `<g class="note">`
//! with `data-key` (MIDI key) and `data-drum` (from 0), or `data-mark` (`x`, `o`, `s`). Adding the class `now`, `next` or
//! `held` lights it; its `<text class="stick">` takes the letter `L` or `R`. A note that the pan lacks is there too, with
//! the class `absent`. A cell of a row is a `<g class="cell">`.

use std::fmt::Write;

use super::ink::{Ink, Theme};
use super::look::{Look, Part, State};
use super::picture::{Anchor, Form, Group, Item, Picture, SMALL, Text};
use crate::text::signs::steers;

/// The fonts that a picture asks for: the one that PDF sheets embed, then common ones that are no wider, so that names stay in
/// their cells.
pub(crate) const FONTS: &str = "'DejaVu Sans Condensed',Roboto,'Noto Sans',Arial,'DejaVu Sans',sans-serif";

/// A file of its own, with its style, in one theme.
pub fn file(picture: &Picture, theme: Theme) -> String {
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    open(picture, true, &mut out);
    let _ = writeln!(out, "<style>\n{}</style>", css(theme));
    let (x, y) = picture.origin;
    let paper = Form::Rectangle { at: (x, y), size: picture.size, round: 0.0 };
    item(&Item::Shape(Part::Paper, paper), &mut out);
    picture.items.iter().for_each(|i| item(i, &mut out));
    out.push_str("</svg>\n");
    out
}

/// An `<svg>` element to stand in a page that has [`css`] in its style sheet.
pub fn element(picture: &Picture) -> String {
    let mut out = String::new();
    open(picture, false, &mut out);
    picture.items.iter().for_each(|i| item(i, &mut out));
    out.push_str("</svg>\n");
    out
}

/// The same as [`element`] for a picture whose meaning stands in words beside it: screen readers skip it. A tenth of
/// an em is a unit of it, so that the page's letters say how large it is.
pub fn silent_element(picture: &Picture) -> String {
    let ((x, y), (w, h)) = (picture.origin, picture.size);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"panfold\" aria-hidden=\"true\" viewBox=\"{} {} {} {}\"",
        number(x),
        number(y),
        number(w),
        number(h)
    );
    let _ = writeln!(out, " width=\"{}em\" height=\"{}em\">", number(w / 10.0), number(h / 10.0));
    picture.items.iter().for_each(|i| item(i, &mut out));
    out.push_str("</svg>\n");
    out
}

/// The style of all pictures in one theme: rules for everything within an `svg` of the class `panfold`.
pub fn css(theme: Theme) -> String {
    let mut out = format!(".panfold text{{font-family:{FONTS};font-weight:normal}}\n");
    let _ = writeln!(out, ".panfold .small{{font-size:{SMALL}em}}");
    for part in Part::ALL {
        for state in State::ALL {
            let (look, plain) = (part.look(state), part.look(State::Plain));
            if state == State::Plain || look != plain {
                let class = state.class().map_or(String::new(), |class| format!(".{class} "));
                let _ = writeln!(out, ".panfold {class}.{}{{{}}}", part.class(), rule(look, theme));
            }
        }
    }
    out
}

/// The declarations of a look.
fn rule(look: Option<Look>, theme: Theme) -> String {
    let Some(look) = look else { return "display:none".to_owned() };
    let colour = |ink: Option<Ink>| ink.map_or("none".to_owned(), |ink| ink.colour(theme).hex());
    let mut out =
        format!("display:inline;fill:{};stroke:{}", colour(look.fill), colour(look.edge.map(|edge| edge.ink)));
    if let Some(edge) = look.edge {
        let _ = write!(out, ";stroke-width:{}", number(edge.width));
        let dash = edge.dash.map_or("none".to_owned(), |(on, off)| format!("{} {}", number(on), number(off)));
        let _ = write!(out, ";stroke-dasharray:{dash};stroke-linecap:round;stroke-linejoin:round");
    }
    if look.bold {
        out.push_str(";font-weight:bold");
    }
    out
}

fn open(picture: &Picture, alone: bool, out: &mut String) {
    let ((x, y), (w, h)) = (picture.origin, picture.size);
    let _ = write!(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"panfold\" role=\"img\"");
    let _ = write!(out, " viewBox=\"{} {} {} {}\"", number(x), number(y), number(w), number(h));
    if alone {
        let unit = picture.unit;
        let _ = write!(out, " width=\"{}{unit}\" height=\"{}{unit}\"", number(w), number(h));
    }
    let _ = writeln!(out, ">\n<title>{}</title>", escape(&picture.title));
    if !picture.description.is_empty() {
        let _ = writeln!(out, "<desc>{}</desc>", escape(&picture.description));
    }
}

fn item(item: &Item, out: &mut String) {
    match item {
        Item::Shape(part, form) => shape(*part, form, out),
        Item::Group(group) => self::group(group, out),
        Item::Placed { at, scale, items } => {
            let _ = writeln!(
                out,
                "<g transform=\"translate({} {}) scale({})\">",
                number(at.0),
                number(at.1),
                precise(*scale)
            );
            items.iter().for_each(|i| self::item(i, out));
            out.push_str("</g>\n");
        }
    }
}

fn group(group: &Group, out: &mut String) {
    let classes: Vec<&str> =
        [group.class].into_iter().chain(group.facts.iter().copied()).chain(group.state.class()).collect();
    let _ = write!(out, "<g class=\"{}\"", classes.join(" "));
    if !group.id.is_empty() {
        let _ = write!(out, " id=\"{}\"", escape(&group.id));
    }
    for (name, value) in &group.data {
        let _ = write!(out, " data-{name}=\"{}\"", escape(value));
    }
    out.push_str(">\n");
    if !group.title.is_empty() {
        let _ = writeln!(out, "<title>{}</title>", escape(&group.title));
    }
    group.items.iter().for_each(|i| item(i, out));
    out.push_str("</g>\n");
}

fn shape(part: Part, form: &Form, out: &mut String) {
    let class = part.class();
    let n = number;
    let _ = match form {
        Form::Ellipse { centre: (x, y), radii: (rx, ry), turn } => {
            let turned = if *turn == 0.0 {
                String::new()
            } else {
                format!(" transform=\"rotate({} {} {})\"", n(*turn), n(*x), n(*y))
            };
            writeln!(
                out,
                "<ellipse class=\"{class}\" cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\"{turned}/>",
                n(*x),
                n(*y),
                n(*rx),
                n(*ry)
            )
        }
        Form::Rectangle { at: (x, y), size: (w, h), round } => {
            let round = if *round == 0.0 { String::new() } else { format!(" rx=\"{}\"", n(*round)) };
            writeln!(
                out,
                "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{round}/>",
                n(*x),
                n(*y),
                n(*w),
                n(*h)
            )
        }
        Form::Line(points) => {
            let closed = points.len() > 2 && points.first() == points.last();
            let shown = if closed { &points[1..] } else { &points[..] };
            let points: Vec<String> = shown.iter().map(|(x, y)| format!("{},{}", n(*x), n(*y))).collect();
            let name = if closed { "polygon" } else { "polyline" };
            writeln!(out, "<{name} class=\"{class}\" points=\"{}\"/>", points.join(" "))
        }
        Form::Text(text) => writeln!(out, "{}", self::text(class, text)),
    };
}

fn text(class: &str, text: &Text) -> String {
    let anchor = match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let small = if text.small.is_empty() {
        String::new()
    } else {
        let how = if text.share == SMALL {
            "class=\"small\"".to_owned()
        } else {
            format!("font-size=\"{}\"", number(text.share * text.size))
        };
        format!("<tspan {how}>{}</tspan>", escape(&text.small))
    };
    let (x, y, size) = (number(text.at.0), number(text.at.1), number(text.size));
    format!(
        "<text class=\"{class}\" x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{anchor}>{}{small}</text>",
        escape(&text.text)
    )
}

/// A number with at most two places after the point.
fn number(value: f64) -> String {
    trim(format!("{value:.2}"))
}

/// A number with at most six places after the point.
fn precise(value: f64) -> String {
    trim(format!("{value:.6}"))
}

fn trim(text: String) -> String {
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A text as XML may hold it: markup escaped, characters that XML 1.0 forbids replaced. Signs that turn the direction of writing
/// are left out: what stands beside the text would turn too.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if steers(c) && !matches!(c, '\0'..='\x1f') => {}
            '\0'..='\x1f' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_control_characters_are_text() {
        assert_eq!(escape("<b a='1'>R&B</b>\u{1}"), "&lt;b a=&#39;1&#39;&gt;R&amp;B&lt;/b&gt;\u{fffd}");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!([0.0, -0.001, 1.5, 10.0, 2.345].map(number), ["0", "0", "1.5", "10", "2.35"].map(str::to_owned));
    }
}

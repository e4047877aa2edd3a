//! A page as HTML (WHATWG, "HTML Living Standard") that prints well: one file, nothing loaded from
//! anywhere, drawings in it.

use std::fmt::Write as _;

use super::{MANY_FACTS, Paper, SheetBlock, SheetLine, SheetPage};
use crate::svg::escaped;
use crate::{Theme, svg};

/// With more rows and numbers than these a page is full.
const FULL: usize = 14;

const STYLE: &str = "\
body{font:10.5pt/1.35 system-ui,'Helvetica Neue',Arial,sans-serif;color:#000;background:#fff;\
max-width:182mm;margin:0 auto;padding:1em;font-variant-numeric:tabular-nums}\
h1{font-size:1.9em;margin:0;overflow-wrap:anywhere}h1+p{margin:0 0 .8em;color:#454545}\
h2{font-size:1.1em;margin:1em 0 .3em;border-bottom:.6pt solid #808080;break-after:avoid}\
p,ul{margin:.3em 0}ul{padding-left:1.2em}dl{display:grid;grid-template-columns:max-content 1fr;\
gap:.1em 1em;margin:0}dt{color:#454545}dd{margin:0;overflow-wrap:anywhere}\
table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:.1em .6em .1em 0;\
font-weight:normal;vertical-align:baseline}thead th{color:#454545;border-bottom:.6pt solid #808080}\
tr{break-inside:avoid}.group th{font-weight:600;padding-top:.4em}.in th{padding-left:1em}\
td:last-child{font-weight:600}.numbers{display:grid;grid-template-columns:repeat(3,1fr);gap:1em;\
margin:.6em 0}.of4{grid-template-columns:repeat(4,1fr)}.of6{grid-template-columns:repeat(6,1fr)}\
.of4,.of6{font-size:.8em}.numbers div{border-top:1pt solid #000;break-inside:avoid}\
.numbers b{display:block;font-size:2.4em;line-height:1.2}.numbers span{display:block}\
.numbers small{display:block;color:#454545}figure{margin:.4em 0;break-inside:avoid}\
figure svg{width:100%;height:auto}.code{display:flex;gap:1em;align-items:center;\
break-inside:avoid}.code figure{flex:0 0 32mm}.code .text{color:#454545;overflow-wrap:anywhere}\
.caution{padding-left:1.4em;text-indent:-1.4em}\
@media print{body{max-width:none;padding:0;font-size:9.5pt;line-height:1.25}\
h2{margin:.7em 0 .2em}figure svg{max-height:78mm}.numbers{gap:.3em 1em;margin:.3em 0}\
.of4,.of6{font-size:.75em}.many{grid-template-columns:max-content 1fr max-content 1fr}\
.code figure{flex:0 0 28mm}.full{font-size:8pt;line-height:1.2}\
.full figure svg{max-height:58mm}.full td,.full th{padding:0 .6em 0 0}.long{columns:2;\
column-gap:2em;font-size:7.5pt}.long td{white-space:nowrap}.long .group{break-after:avoid}\
.long~p,.long~ul{font-size:8.5pt}.long~figure svg{max-height:52mm}}";

/// The page as one HTML file for this paper.
pub fn sheet_html(page: &SheetPage, paper: Paper) -> String {
    let size = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    let (title, subtitle) = (escaped(&page.title), escaped(&page.subtitle));
    let full = if is_full(page) { " class=\"full\"" } else { "" };
    let mut out = format!(
        "<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}: {subtitle}</title>\n<style>@page{{size:{size};margin:14mm}}{STYLE}</style>\n\
         </head>\n<body{full}>\n<h1>{title}</h1>\n<p>{subtitle}</p>\n",
        escaped(&page.language),
    );
    for part in &page.blocks {
        block(&mut out, part);
    }
    out.push_str("</body>\n</html>\n");
    out
}

/// Whether so much stands on it that it needs smaller letters to be one page in print.
fn is_full(page: &SheetPage) -> bool {
    let lines = |block: &SheetBlock| match block {
        SheetBlock::Table { lines, .. } => lines.len(),
        SheetBlock::Numbers(numbers) => numbers.len(),
        SheetBlock::Code { .. } => FULL / 2,
        _ => 0,
    };
    page.blocks.iter().map(lines).sum::<usize>() > FULL
}

// Writing to a string cannot fail.
fn block(out: &mut String, block: &SheetBlock) {
    match block {
        SheetBlock::Heading(text) => drop(writeln!(out, "<h2>{}</h2>", escaped(text))),
        SheetBlock::Paragraph(text) => drop(writeln!(out, "<p>{}</p>", escaped(text))),
        SheetBlock::Points(points) => {
            out.push_str("<ul>\n");
            for point in points {
                let _ = writeln!(out, "<li>{}</li>", escaped(point));
            }
            out.push_str("</ul>\n");
        }
        SheetBlock::Facts(facts) => {
            let many = if facts.len() > MANY_FACTS { " class=\"many\"" } else { "" };
            let _ = writeln!(out, "<dl{many}>");
            for (name, value) in facts {
                let _ = writeln!(out, "<dt>{}</dt><dd>{}</dd>", escaped(name), escaped(value));
            }
            out.push_str("</dl>\n");
        }
        SheetBlock::Table { head, lines } => table(out, &super::titles(head), lines),
        SheetBlock::Numbers(numbers) => {
            let columns = super::columns(numbers.len());
            let _ = writeln!(out, "<div class=\"numbers of{columns}\">");
            for one in numbers {
                let (number, label) = (escaped(&one.number), escaped(&one.label));
                let beside = escaped(&one.beside);
                let _ = writeln!(
                    out,
                    "<div><b>{number}</b><span>{label}</span><small>{beside}</small></div>"
                );
            }
            out.push_str("</div>\n");
        }
        SheetBlock::Picture(scene) => {
            let _ = writeln!(out, "<figure>\n{}</figure>", svg(scene, Theme::Print));
        }
        SheetBlock::Code { picture, text, beside } => {
            let _ = writeln!(
                out,
                "<div class=\"code\">\n<figure>\n{}</figure>\n<div>",
                svg(picture, Theme::Print)
            );
            for one in beside {
                let _ = writeln!(out, "<p>{}</p>", escaped(one));
            }
            let _ = writeln!(out, "<p class=\"text\">{}</p>\n</div>\n</div>", escaped(text));
        }
        // The same triangle as in drawings.
        SheetBlock::Caution(text) => {
            let _ = writeln!(out, "<p class=\"caution\">\u{25b3} {}</p>", escaped(text));
        }
    }
}

fn table(out: &mut String, head: &[String], lines: &[SheetLine]) {
    // On paper a long one stands in two columns, as in the PDF.
    let long = lines.len() > super::FOLDED;
    out.push_str(if long {
        "<div class=\"long\"><table>\n<thead><tr>"
    } else {
        "<table>\n<thead><tr>"
    });
    for title in head {
        let _ = write!(out, "<th scope=\"col\">{}</th>", escaped(title));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for line in lines {
        let _ = match line {
            SheetLine::Group(text) => writeln!(
                out,
                "<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"{}\">{}</th></tr>",
                head.len(),
                escaped(text)
            ),
            SheetLine::Row { what, grouped, cells } => {
                let class = if *grouped { " class=\"in\"" } else { "" };
                let _ = write!(out, "<tr{class}><th scope=\"row\">{}</th>", escaped(what));
                for cell in cells {
                    let _ = write!(out, "<td>{}</td>", escaped(cell));
                }
                writeln!(out, "</tr>")
            }
        };
    }
    out.push_str(if long { "</tbody>\n</table></div>\n" } else { "</tbody>\n</table>\n" });
}

//! A page as plain text, for a message.

use super::{SheetBlock, SheetLine, SheetPage};

/// The page in lines; drawings are told in their sentences, without those that are of the drawing alone.
pub fn sheet_text(page: &SheetPage) -> String {
    let mut out = vec![page.title.clone(), page.subtitle.clone()];
    for block in &page.blocks {
        match block {
            SheetBlock::Heading(text) => out.extend([String::new(), text.to_uppercase()]),
            SheetBlock::Paragraph(text) => out.push(text.clone()),
            SheetBlock::Points(points) => out.extend(points.iter().map(|one| format!("- {one}"))),
            SheetBlock::Facts(facts) => {
                out.extend(facts.iter().map(|(name, value)| format!("{name}: {value}")));
            }
            SheetBlock::Table { head, lines } => {
                out.extend(lines.iter().map(|line| row(head, line)));
            }
            SheetBlock::Numbers(numbers) => out.extend(numbers.iter().map(|one| {
                let beside = match one.beside.chars().next() {
                    None => "",
                    // How far it may lie off belongs to the number.
                    Some('±') => " ",
                    Some(_) => "; ",
                };
                format!("{}: {}{beside}{}", one.label, one.number, one.beside)
            })),
            SheetBlock::Picture(scene) => out.extend(scene.told().iter().cloned()),
            SheetBlock::Code { text, beside, .. } => {
                out.extend(beside.iter().cloned());
                out.push(text.clone());
            }
            SheetBlock::Caution(text) => out.push(format!("! {text}")),
        }
    }
    out.push(String::new());
    out.join("\n")
}

fn row(head: &[String], line: &SheetLine) -> String {
    match line {
        SheetLine::Group(text) => format!("{text}:"),
        SheetLine::Row { what, grouped, cells } => {
            let named = head.iter().skip(1).zip(cells).map(|(name, cell)| format!("{name} {cell}"));
            let cells: Vec<String> = named.collect();
            let indent = if *grouped { "  " } else { "" };
            format!("{indent}{what}: {}", cells.join("; "))
        }
    }
}

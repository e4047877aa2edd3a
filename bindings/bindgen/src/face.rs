//! Lists everything that crosses to other languages, from the metadata in the built library: one
//! line for each object, method, record, field, choice, error, trait and function, in an order that
//! does not depend on the build. Fails if one of them is not documented.
#![forbid(unsafe_code)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::ExitCode;

use uniffi_bindgen::macro_metadata::extract_from_bytes;
use uniffi_meta::{
    DefaultValueMetadata, EnumMetadata, FieldMetadata, FnParamMetadata, LiteralMetadata, Metadata,
    ObjectImpl, RecordMetadata, TraitKind, Type,
};

fn main() -> ExitCode {
    let Some(library) = std::env::args_os().nth(1) else {
        eprintln!("Usage: face <library>");
        return ExitCode::from(2);
    };
    let read = std::fs::read(&library).map_err(|error| error.to_string());
    let items =
        read.and_then(|bytes| extract_from_bytes(&bytes).map_err(|error| error.to_string()));
    match items {
        Ok(items) => {
            let face = Face::of(items);
            print!("{}", face.listing());
            for name in &face.undocumented {
                eprintln!("{name} is not documented");
            }
            if face.undocumented.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
        }
        Err(reason) => {
            eprintln!("{}: {reason}", library.display());
            ExitCode::FAILURE
        }
    }
}

/// What crosses, by kind and name.
#[derive(Default)]
struct Face {
    /// Lines under the head line of each, by the head line.
    parts: BTreeMap<(u8, String), Vec<(u32, String)>>,
    undocumented: Vec<String>,
}

/// The order of the kinds in the listing.
const OBJECT: u8 = 0;
const TRAIT: u8 = 1;
const FUNCTION: u8 = 2;
const RECORD: u8 = 3;
const CHOICE: u8 = 4;
const ERROR: u8 = 5;

impl Face {
    fn of(items: Vec<Metadata>) -> Self {
        let mut face = Self::default();
        for item in items {
            face.item(item);
        }
        face.undocumented.sort_unstable();
        face
    }

    fn item(&mut self, item: Metadata) {
        match item {
            Metadata::Object(object) => {
                let kind = match object.imp {
                    ObjectImpl::Struct | ObjectImpl::Trait(TraitKind::RustOnly) => OBJECT,
                    ObjectImpl::Trait(_) => TRAIT,
                };
                self.part(kind, &object.name, object.docstring.as_ref());
            }
            Metadata::Constructor(made) => {
                let call = call(&made.name, &made.inputs, None, made.throws.as_ref());
                let name = format!("{}.{}", made.self_name, made.name);
                self.documented(&name, made.docstring.as_ref());
                // Constructors stand before methods.
                self.line(OBJECT, &made.self_name, 0, format!("constructor {call}"));
            }
            Metadata::Method(method) => {
                let (back, throws) = (method.return_type.as_ref(), method.throws.as_ref());
                let call = call(&method.name, &method.inputs, back, throws);
                self.documented(
                    &format!("{}.{}", method.self_name, method.name),
                    method.docstring.as_ref(),
                );
                self.line(OBJECT, &method.self_name, 1, format!("method {call}"));
            }
            Metadata::TraitMethod(method) => {
                let (back, throws) = (method.return_type.as_ref(), method.throws.as_ref());
                let call = call(&method.name, &method.inputs, back, throws);
                self.documented(
                    &format!("{}.{}", method.trait_name, method.name),
                    method.docstring.as_ref(),
                );
                self.line(TRAIT, &method.trait_name, method.index, format!("method {call}"));
            }
            Metadata::Func(function) => {
                let (back, throws) = (function.return_type.as_ref(), function.throws.as_ref());
                let call = call(&function.name, &function.inputs, back, throws);
                self.part(FUNCTION, &call, function.docstring.as_ref());
            }
            Metadata::Record(record) => self.record(&record),
            Metadata::Enum(choice) => self.choice(&choice),
            Metadata::CallbackInterface(one) => self.part(TRAIT, &one.name, one.docstring.as_ref()),
            // Names of the crate, and traits of the languages: nothing that an app calls by name.
            _ => {}
        }
    }

    fn record(&mut self, record: &RecordMetadata) {
        self.part(RECORD, &record.name, record.docstring.as_ref());
        for (place, field) in (0..).zip(&record.fields) {
            self.documented(&format!("{}.{}", record.name, field.name), field.docstring.as_ref());
            self.line(RECORD, &record.name, place, shown_field(field));
        }
    }

    fn choice(&mut self, choice: &EnumMetadata) {
        let kind = if choice.shape.is_error() { ERROR } else { CHOICE };
        self.part(kind, &choice.name, choice.docstring.as_ref());
        for (place, variant) in (0..).zip(&choice.variants) {
            let name = format!("{}.{}", choice.name, variant.name);
            self.documented(&name, variant.docstring.as_ref());
            for field in &variant.fields {
                self.documented(&format!("{name}.{}", field.name), field.docstring.as_ref());
            }
            let fields: Vec<String> = variant.fields.iter().map(shown_field).collect();
            let line = match fields.as_slice() {
                [] => variant.name.clone(),
                fields => format!("{}({})", variant.name, fields.join(", ")),
            };
            self.line(kind, &choice.name, place, line);
        }
    }

    fn part(&mut self, kind: u8, name: &str, docs: Option<&String>) {
        self.documented(name, docs);
        self.parts.entry((kind, name.to_owned())).or_default();
    }

    fn line(&mut self, kind: u8, name: &str, place: u32, line: String) {
        self.parts.entry((kind, name.to_owned())).or_default().push((place, line));
    }

    fn documented(&mut self, name: &str, docs: Option<&String>) {
        if docs.is_none_or(|docs| docs.trim().is_empty()) {
            self.undocumented.push(name.to_owned());
        }
    }

    fn listing(&self) -> String {
        let mut text = String::from(
            "What crosses to Kotlin, Swift and Python. Written by `cargo tool face`, not by hand.\n",
        );
        let mut before = OBJECT;
        for ((kind, name), lines) in &self.parts {
            let word = match *kind {
                OBJECT => "object",
                TRAIT => "trait that an app implements:",
                FUNCTION => "function",
                RECORD => "record",
                CHOICE => "choice",
                _ => "error",
            };
            let mut lines = lines.clone();
            lines.sort_unstable();
            // Functions have no lines of their own and stand close.
            let gap = if (before, *kind) == (FUNCTION, FUNCTION) { "" } else { "\n" };
            before = *kind;
            // Writing into a text cannot fail.
            let _ = writeln!(text, "{gap}{word} {name}");
            for (_, line) in lines {
                let _ = writeln!(text, "    {line}");
            }
        }
        text
    }
}

fn call(
    name: &str,
    inputs: &[FnParamMetadata],
    back: Option<&Type>,
    throws: Option<&Type>,
) -> String {
    let inputs = inputs.iter().map(|one| with_default(&one.name, &one.ty, one.default.as_ref()));
    let mut text = format!("{name}({})", inputs.collect::<Vec<_>>().join(", "));
    if let Some(back) = back {
        text = format!("{text} -> {}", shown(back));
    }
    if let Some(throws) = throws {
        text = format!("{text} throws {}", shown(throws));
    }
    text
}

fn shown_field(field: &FieldMetadata) -> String {
    with_default(&field.name, &field.ty, field.default.as_ref())
}

fn with_default(name: &str, ty: &Type, default: Option<&DefaultValueMetadata>) -> String {
    let text = format!("{name}: {}", shown(ty));
    match default {
        None => text,
        Some(default) => format!("{text} = {}", shown_default(default)),
    }
}

fn shown_default(default: &DefaultValueMetadata) -> String {
    match default {
        DefaultValueMetadata::Default => "usual".to_owned(),
        DefaultValueMetadata::Literal(literal) => match literal {
            LiteralMetadata::Boolean(value) => value.to_string(),
            LiteralMetadata::String(value) => format!("{value:?}"),
            LiteralMetadata::UInt(value, ..) => value.to_string(),
            LiteralMetadata::Int(value, ..) => value.to_string(),
            LiteralMetadata::Float(value, _) | LiteralMetadata::Enum(value, _) => value.clone(),
            LiteralMetadata::EmptySequence
            | LiteralMetadata::EmptyMap
            | LiteralMetadata::EmptySet => "[]".to_owned(),
            LiteralMetadata::None => "none".to_owned(),
            LiteralMetadata::Some { inner } => shown_default(inner),
        },
    }
}

fn shown(ty: &Type) -> String {
    match ty {
        Type::UInt8 => "u8".to_owned(),
        Type::Int8 => "i8".to_owned(),
        Type::UInt16 => "u16".to_owned(),
        Type::Int16 => "i16".to_owned(),
        Type::UInt32 => "u32".to_owned(),
        Type::Int32 => "i32".to_owned(),
        Type::UInt64 => "u64".to_owned(),
        Type::Int64 => "i64".to_owned(),
        Type::Float32 => "f32".to_owned(),
        Type::Float64 => "f64".to_owned(),
        Type::Boolean => "bool".to_owned(),
        Type::String => "text".to_owned(),
        Type::Bytes => "bytes".to_owned(),
        Type::Timestamp => "timestamp".to_owned(),
        Type::Duration => "duration".to_owned(),
        Type::Object { name, .. }
        | Type::Record { name, .. }
        | Type::Enum { name, .. }
        | Type::CallbackInterface { name, .. }
        | Type::Custom { name, .. } => name.clone(),
        Type::Box { inner_type } => shown(inner_type),
        Type::Optional { inner_type } => format!("{}?", shown(inner_type)),
        Type::Sequence { inner_type } => format!("[{}]", shown(inner_type)),
        Type::Set { inner_type } => format!("set of {}", shown(inner_type)),
        Type::Map { key_type, value_type } => {
            format!("[{}: {}]", shown(key_type), shown(value_type))
        }
    }
}

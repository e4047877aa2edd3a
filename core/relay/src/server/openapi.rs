//! The description of the protocol for programs: OpenAPI 3.1.

use std::collections::BTreeMap;

use fallaway_sharing::limits::{MAX_BLOB_PARTS, SEALED_PART_BYTES};
use fallaway_sync::wire::access::{AccessBody, SCHEME};
use fallaway_sync::wire::limits::{
    MAX_ANSWER_BYTES, MAX_BODY_BYTES, MAX_KNOCK_BYTES, MAX_PAGE_BYTES, MAX_PARCEL_BYTES,
    MAX_PARCEL_DAYS, MAX_WAIT_S,
};
use fallaway_sync::wire::problem::Code;
use fallaway_sync::wire::route::{
    ACCEPTED_HEADER, ACCESS, ADMISSION_HEADER, ANSWER, BLOB, BLOB_PART, BUNDLES, BYTES,
    CHAIN_HEADER, DAYS_HEADER, EXCHANGE, HERE_HEADER, ITEMS, KNOCKS, LOG, MORE_HEADER,
    OWNER_HEADER, PARCEL, PARTS, PARTS_HEADER, PROBLEM, PROBLEM_HEADER, RELAY, RETIRED_HEADER,
    SEQ_HEADER,
};
use serde_json::{Map, Value, json};

/// One method of one path.
struct Operation {
    path: &'static str,
    method: &'static str,
    summary: &'static str,
    parameters: Vec<Value>,
    body: Option<Value>,
    answers: Vec<(u16, Value)>,
    codes: &'static [Code],
    token: bool,
}

/// What any request may be told.
const ALWAYS: [Code; 3] = [Code::Method, Code::TooMany, Code::Unavailable];
/// What any request with a body may be told.
const WITH_BODY: [Code; 5] =
    [Code::BadRequest, Code::Slow, Code::TooLarge, Code::MediaType, Code::Full];

/// The document.
pub(super) fn document() -> Value {
    let mut paths = Map::new();
    for operation in operations() {
        let item = paths.entry(operation.path).or_insert_with(|| json!({}));
        if let Some(item) = item.as_object_mut() {
            item.insert(operation.method.to_owned(), described(&operation));
        }
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Fallaway relay",
            "summary": "Carries sealed bundles between devices that are never online together",
            "version": env!("CARGO_PKG_VERSION"),
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
        },
        "paths": paths,
        "components": {
            "securitySchemes": { "token": {
                "type": "apiKey", "in": "header", "name": "Authorization",
                "description": format!("`{SCHEME}` and 32 bytes as base64url without padding"),
            } },
            "schemas": { "Problem": {
                "type": "object",
                "description": "RFC 9457",
                "required": ["type", "title", "status", "detail", "code"],
                "properties": {
                    "type": { "type": "string" },
                    "title": { "type": "string" },
                    "status": { "type": "integer" },
                    "detail": { "type": "string" },
                    "code": { "enum": Code::ALL.map(Code::as_str) },
                },
            } },
        },
    })
}

fn described(operation: &Operation) -> Value {
    let mut answers = Map::new();
    for (status, answer) in &operation.answers {
        answers.insert(status.to_string(), answer.clone());
    }
    let with_body = operation.body.iter().flat_map(|_| WITH_BODY);
    let auth = operation.token.then_some([Code::NoAccess, Code::Gone]).into_iter().flatten();
    let mut codes: Vec<Code> =
        operation.codes.iter().copied().chain(auth).chain(with_body).collect();
    codes.extend(ALWAYS);
    // An id that is none names nothing.
    codes.extend(operation.path.contains('{').then_some(Code::NotFound));
    codes.sort_unstable();
    codes.dedup();
    let mut by_status: BTreeMap<u16, Vec<&str>> = BTreeMap::new();
    for code in codes {
        by_status.entry(code.status()).or_default().push(code.as_str());
    }
    for (status, codes) in by_status {
        let mut headers = json!({ PROBLEM_HEADER: header("enum", &json!(codes)) });
        if let Some(headers) = headers.as_object_mut() {
            let more = match status {
                401 => Some("WWW-Authenticate"),
                405 => Some("Allow"),
                429 | 503 | 507 => Some("Retry-After"),
                _ => None,
            };
            headers.extend(more.map(|name| (name.to_owned(), header("type", &json!("string")))));
        }
        let schema = json!({ "$ref": "#/components/schemas/Problem" });
        let answer = json!({
            "description": codes.join(", "), "headers": headers,
            "content": { PROBLEM: { "schema": schema } },
        });
        answers.insert(status.to_string(), answer);
    }
    let mut described = json!({
        "summary": operation.summary, "parameters": operation.parameters, "responses": answers,
        "security": if operation.token { json!([{ "token": [] }]) } else { json!([]) },
    });
    if let (Some(body), Some(fields)) = (&operation.body, described.as_object_mut()) {
        fields.insert("requestBody".to_owned(), body.clone());
    }
    described
}

fn operations() -> Vec<Operation> {
    let log = || path("log", 32);
    let one = |path, method, summary| Operation {
        path,
        method,
        summary,
        parameters: Vec::new(),
        body: None,
        answers: Vec::new(),
        codes: &[],
        token: false,
    };
    let paged = || page_answer(&[SEQ_HEADER, CHAIN_HEADER, MORE_HEADER, RETIRED_HEADER]);
    let mut pushed = page_answer(&[SEQ_HEADER, CHAIN_HEADER, MORE_HEADER, RETIRED_HEADER]);
    if let Some(headers) = pushed.pointer_mut("/headers").and_then(Value::as_object_mut) {
        headers
            .insert(ACCEPTED_HEADER.to_owned(), header("pattern", &json!("^([0-9]+(,[0-9]+)*)?$")));
    }
    let cursor = || {
        vec![
            log(),
            query("after", &json!({ "type": "integer", "minimum": 0, "maximum": i64::MAX })),
            query("chain", &json!({ "type": "string", "pattern": "^[0-9a-f]{32}$" })),
            query("max", &json!({ "type": "integer", "minimum": 0, "maximum": MAX_PAGE_BYTES })),
        ]
    };
    let mut waiting = cursor();
    waiting.push(query("wait", &json!({ "type": "integer", "minimum": 0, "maximum": MAX_WAIT_S })));
    let text = |pattern: &str| json!({ "type": "string", "pattern": pattern });
    let access = || body(BYTES, AccessBody::LEN, AccessBody::LEN);
    let owner = || field(OWNER_HEADER, true, &text("^[A-Za-z0-9_-]{42}[AEIMQUYcgkosw048]$"));
    let nothing = |what: &str| json!({ "description": what });
    let part = || {
        let schema = json!({ "type": "integer", "minimum": 0, "maximum": MAX_BLOB_PARTS - 1 });
        json!({ "name": "part", "in": "path", "required": true, "schema": schema })
    };
    let count = json!({ "type": "integer", "minimum": 1, "maximum": MAX_BLOB_PARTS });
    let parts = json!({ "name": PARTS, "in": "query", "required": true, "schema": count });
    let parts_header = json!({ "schema": count });
    let here_answer = json!({ "description": "which are there", "headers": {
        PARTS_HEADER: parts_header, HERE_HEADER: header("type", &json!("string")),
    } });
    let part_answer = json!({
        "description": "the part", "content": { BYTES: {} },
        "headers": { PARTS_HEADER: parts_header },
    });
    vec![
        Operation {
            parameters: vec![log(), field(ADMISSION_HEADER, false, &text("^[!-~]+$"))],
            body: Some(access()),
            answers: vec![(201, nothing("opened")), (200, nothing("it is open so already"))],
            codes: &[Code::NoAccess, Code::Admission, Code::Gone],
            ..one(LOG, "put", "Open a log: hash of its access token, hash of its admin token")
        },
        Operation {
            parameters: vec![log()],
            answers: vec![(204, nothing("deleted"))],
            token: true,
            ..one(LOG, "delete", "Delete a log with all that is in it (admin token)")
        },
        Operation {
            parameters: cursor(),
            body: Some(body(BUNDLES, 0, MAX_BODY_BYTES)),
            answers: vec![(200, pushed)],
            codes: &[Code::Diverged, Code::Retired, Code::BadBundle, Code::Quota],
            token: true,
            ..one(EXCHANGE, "post", "Push bundles, and get what follows a place, without those")
        },
        Operation {
            parameters: waiting,
            answers: vec![(200, paged())],
            codes: &[Code::BadRequest, Code::Diverged],
            token: true,
            ..one(ITEMS, "get", "What follows a place, at once or when something comes")
        },
        Operation {
            parameters: cursor(),
            body: Some(access()),
            answers: vec![(204, position_answer("changed; others read to here"))],
            codes: &[Code::Diverged, Code::Taken, Code::Quota],
            token: true,
            ..one(ACCESS, "put", "Change who may use a log (admin token)")
        },
        Operation {
            parameters: vec![log()],
            body: Some(body(BUNDLES, 0, MAX_KNOCK_BYTES + 64)),
            answers: vec![(202, nothing("it waits"))],
            codes: &[Code::BadBundle],
            token: true,
            ..one(KNOCKS, "post", "Knock with one bundle; the token may be a retired one")
        },
        Operation {
            parameters: vec![log()],
            answers: vec![(200, page_answer(&[]))],
            codes: &[Code::Retired],
            token: true,
            ..one(KNOCKS, "get", "The knocks that nobody has answered")
        },
        Operation {
            parameters: vec![log(), path("id", 64)],
            body: Some(body(BUNDLES, 0, MAX_ANSWER_BYTES)),
            answers: vec![(204, nothing("answered"))],
            codes: &[Code::NotFound, Code::Retired, Code::BadBundle],
            token: true,
            ..one(ANSWER, "put", "Answer a knock; its id is that of its bundle")
        },
        Operation {
            parameters: vec![log(), path("id", 64)],
            answers: vec![(200, page_answer(&[]))],
            codes: &[Code::NotFound],
            token: true,
            ..one(ANSWER, "get", "The answer to a knock")
        },
        Operation {
            parameters: vec![log(), path("id", 64)],
            answers: vec![(204, here_answer)],
            codes: &[Code::NotFound, Code::Retired],
            token: true,
            ..one(BLOB, "get", "How many parts a photo has, and which of them are there")
        },
        Operation {
            parameters: vec![log(), path("id", 64)],
            answers: vec![(204, nothing("taken away"))],
            codes: &[Code::NotFound],
            token: true,
            ..one(BLOB, "delete", "Take a photo away (admin token)")
        },
        Operation {
            parameters: vec![log(), path("id", 64), part(), parts],
            body: Some(body(BYTES, 1, SEALED_PART_BYTES)),
            answers: vec![
                (201, nothing("the photo is whole")),
                (202, nothing("others are lacking")),
                (200, nothing("the photo was whole before")),
            ],
            codes: &[Code::BadBlob, Code::Retired, Code::Quota],
            token: true,
            ..one(BLOB_PART, "put", "Bring a part of a photo; all but the last are full")
        },
        Operation {
            parameters: vec![log(), path("id", 64), part()],
            answers: vec![(200, part_answer)],
            codes: &[Code::NotFound, Code::Retired],
            token: true,
            ..one(BLOB_PART, "get", "A part of a photo that is whole")
        },
        Operation {
            parameters: vec![
                path("id", 32),
                owner(),
                field(
                    DAYS_HEADER,
                    true,
                    &json!({ "type": "integer", "minimum": 1, "maximum": MAX_PARCEL_DAYS }),
                ),
            ],
            body: Some(body(BYTES, 0, MAX_PARCEL_BYTES)),
            answers: vec![(201, nothing("left")), (200, nothing("replaced"))],
            codes: &[Code::Taken],
            ..one(PARCEL, "put", "Leave bytes for some days")
        },
        Operation {
            parameters: vec![path("id", 32)],
            answers: vec![(200, json!({ "description": "the bytes", "content": { BYTES: {} } }))],
            codes: &[Code::NotFound],
            ..one(PARCEL, "get", "Fetch them")
        },
        Operation {
            parameters: vec![path("id", 32), owner()],
            answers: vec![(204, nothing("taken away"))],
            codes: &[Code::NotFound, Code::Taken, Code::BadRequest],
            ..one(PARCEL, "delete", "Take them away")
        },
        Operation {
            answers: vec![(
                200,
                json!({
                    "description": "limits and policy",
                    "content": { "application/json": { "schema": { "type": "object" } } },
                }),
            )],
            ..one(RELAY, "get", "What the relay grants")
        },
        Operation {
            answers: vec![(200, plain("it lives"))],
            ..one("/health", "get", "Whether it lives")
        },
        Operation {
            answers: vec![(200, plain("it answers"))],
            ..one("/ready", "get", "Whether its data answer, and it is not stopping")
        },
        Operation {
            answers: vec![(
                200,
                json!({
                    "description": "this", "content": { "application/json": { "schema": { "type": "object" } } },
                }),
            )],
            ..one("/v1/openapi.json", "get", "This document")
        },
    ]
}

fn path(name: &str, digits: usize) -> Value {
    let pattern = format!("^[0-9a-f]{{{digits}}}$");
    json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string", "pattern": pattern } })
}

fn query(name: &str, schema: &Value) -> Value {
    json!({ "name": name, "in": "query", "required": false, "schema": schema })
}

fn field(name: &str, required: bool, schema: &Value) -> Value {
    json!({ "name": name, "in": "header", "required": required, "schema": schema })
}

fn header(key: &str, value: &Value) -> Value {
    json!({ "schema": { key: value } })
}

fn body(media: &str, least: usize, most: usize) -> Value {
    let schema =
        json!({ "type": "string", "format": "binary", "minLength": least, "maxLength": most });
    json!({ "required": true, "content": { media: { "schema": schema } } })
}

fn plain(what: &str) -> Value {
    json!({ "description": what, "content": { "text/plain": { "schema": { "type": "string" } } } })
}

fn page_answer(headers: &[&str]) -> Value {
    let mut answer = json!({ "description": "a bundle file", "content": { BUNDLES: {} } });
    let headers: Map<String, Value> =
        headers.iter().map(|name| ((*name).to_owned(), header("type", &json!("string")))).collect();
    if let Some(fields) = answer.as_object_mut() {
        fields.insert("headers".to_owned(), Value::Object(headers));
    }
    answer
}

fn position_answer(what: &str) -> Value {
    let of = |name: &str| (name.to_owned(), header("type", &json!("string")));
    let headers: Map<String, Value> = [of(SEQ_HEADER), of(CHAIN_HEADER)].into_iter().collect();
    json!({ "description": what, "headers": headers })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::desk::RelayPath;

    #[test]
    fn what_is_described_is_what_is_answered() {
        let mut described: Vec<(RelayPath, BTreeSet<String>)> = Vec::new();
        let document = document();
        for (path, item) in document["paths"].as_object().unwrap() {
            let path = path.replace("{log}", &"0".repeat(32));
            let id = if path.contains("parcels") { 32 } else { 64 };
            let path = path.replace("{id}", &"0".repeat(id)).replace("{part}", "0");
            let methods =
                item.as_object().unwrap().keys().map(|name| name.to_uppercase()).collect();
            match RelayPath::read(&path) {
                Some(place) => described.push((place, methods)),
                None => assert!(["/health", "/ready", "/v1/openapi.json"].contains(&path.as_str())),
            }
        }
        assert_eq!(described.len(), 10);
        for (place, methods) in described {
            let allowed = place.allow().split(", ").filter(|method| *method != "HEAD");
            assert_eq!(methods, allowed.map(str::to_owned).collect(), "{place:?}");
        }
    }
}

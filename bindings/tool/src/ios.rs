//! The sample app for iOS, as far as Linux can tell: its view models play the scripted days over the
//! real library, its views are type-checked against declarations of our own, its string catalogue is
//! made from Android's texts.

mod catalogue;

use std::fs;

use crate::generate::Profile;
use crate::relay::RunningRelay;
use crate::steps::{Outcome, root, target};
use crate::swift;

/// Where the app lies inside the Debian root.
const INSIDE: &str = "/fallaway/sample-apps/ios";

/// Where it is built there.
const BUILT: &str = "/fallaway/ios";

/// Builds the app's packages and runs their tests. A warning is an error.
pub fn test() -> Outcome {
    let package = swift::assemble(Profile::Dev)?;
    let built = target().join("bindings/ios");
    fs::create_dir_all(&built).map_err(|error| format!("{}: {error}", built.display()))?;
    let mounts = [
        "--write".to_owned(),
        format!("{}:/fallaway/package", package.display()),
        "--read".to_owned(),
        format!("{}:/fallaway/sample-apps", root().join("sample-apps").display()),
        "--read".to_owned(),
        format!("{}:/fallaway/tests", root().join("tests").display()),
        "--write".to_owned(),
        format!("{}:{BUILT}", built.display()),
        "--in".to_owned(),
        INSIDE.to_owned(),
    ];
    let relay = RunningRelay::start("ios")?;
    let where_it_is = format!("FALLAWAY_RELAY={}", relay.address);
    let swift = |words: &[&str]| {
        let command = ["env", "FALLAWAY_PACKAGE=/fallaway/package", where_it_is.as_str(), "swift"];
        let folder = ["--scratch-path", BUILT];
        swift::in_root(&mounts, &[&command[..], words, &folder].concat())
    };
    swift(&["build", "--build-tests", "-Xswiftc", "-warnings-as-errors"])?;
    swift(&["test", "--skip-build", "--disable-xctest"])?;
    let lint = "find Package.swift Sources Tests StandIn App -name '*.swift' -print0 | xargs -0 swift-format lint --strict";
    swift::in_root(&mounts, &["bash", "-c", lint])
}

/// Writes the string catalogue from Android's texts.
pub fn record_texts() -> Outcome {
    let file = root().join(catalogue::FILE);
    fs::write(&file, catalogue::made()?).map_err(|error| format!("{}: {error}", file.display()))
}

//! What a whole screen is answered is what its parts say one by one, and what the device may do.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{action, carry, entered, read, share, target, workshop};
use fallaway_ffi::{
    EntryForm, HistoryFilter, HistoryPage, Location, Occasion, Quantity, Role, StringSet,
    StringSpec, Tool, Workshop, location_label, quantity_label, tool_name,
};

fn relief() -> Quantity {
    Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None }
}

#[test]
fn an_entry_form_has_the_card_what_is_usual_and_names_for_all_of_it() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "6 6 6 7");
    let EntryForm { card, usual, others, tools, role } = bass.entry_form(None).unwrap();
    assert_eq!(card, bass.card(None).unwrap());
    assert_eq!(usual, bass.usual_readings().unwrap());
    assert_eq!(others, bass.other_readings().unwrap());
    assert!(others.iter().any(|one| one.quantity == Quantity::Pitch));
    assert_eq!(role, Some(Role::Owner));
    assert!(tools.iter().any(|one| one.tool == Tool::Rule64));
    let of_action = usual.iter().find(|one| one.quantity == action()).unwrap();
    assert_eq!(of_action.location_texts, ["1 (G)", "2 (D)", "3 (A)", "4 (E)"]);
    // They are called so before anything was read, too.
    let other = tech.add_instrument("bass-4", "maple bass").unwrap();
    let of_other = other.usual_readings().unwrap();
    let never = of_other.iter().find(|one| one.locations.len() == 4).unwrap();
    assert_eq!(never.location_texts, ["1 (G)", "2 (D)", "3 (A)", "4 (E)"]);
    assert_eq!(of_action.tool_text, Some(tool_name(&Tool::Rule64).unwrap()));
}

#[test]
fn a_page_of_the_history_has_the_relief_over_time_if_it_was_ever_read() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "6 6 6 7");
    let filter = HistoryFilter::default();
    let page = |relief| bass.history_page(&filter, relief, None, None, None).unwrap();
    assert_eq!(page(true).relief, None);
    let feeler = Some(Tool::FeelerMm);
    bass.add_pass_text(relief(), "0.30".to_owned(), feeler, None, None).unwrap();
    let HistoryPage { entries, relief: drawn, role } = page(true);
    assert_eq!(entries, bass.history(&filter).unwrap());
    assert_eq!(
        drawn,
        Some(bass.draw_history(relief(), Location::Whole, None, None, None).unwrap())
    );
    assert_eq!(role, Some(Role::Owner));
    assert_eq!(page(false).relief, None);
}

#[test]
fn without_a_setup_nothing_has_changed_since_one() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    assert_eq!(bass.changes_since_setup(None, None, None).unwrap(), None);
    let stage = bass.add_setup("stage", None).unwrap();
    bass.set_target(stage.id.clone(), target(4, "2.4 mm"), None).unwrap();
    read(&bass, "6 6 6 7");
    let since = bass.changes_since_setup(None, None, None).unwrap().unwrap();
    let before = Occasion::Setup { setup: stage.id };
    assert_eq!(since, bass.changes_drawn(before, Occasion::Today, None, None).unwrap());
}

#[test]
fn only_sets_with_as_many_strings_are_offered() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let set = |name: &str, strings: usize| StringSet {
        name: name.to_owned(),
        strings: vec![
            StringSpec { gauge: Some(entered("0.045 in")), ..StringSpec::default() };
            strings
        ],
    };
    tech.keep_string_set(&set("for four", 4)).unwrap();
    tech.keep_string_set(&set("for five", 5)).unwrap();
    let page = bass.strings_page().unwrap();
    assert_eq!(page.sets.iter().map(|one| one.name.as_str()).collect::<Vec<_>>(), ["for four"]);
    assert_eq!(page.spec, bass.details().unwrap().spec);
}

#[test]
fn who_was_invited_to_read_is_told_so_with_every_screen_that_writes() {
    let (tech, owner) = (workshop("tech"), workshop("owner"));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "6 6 6 7");
    let here = share(&tech, &bass, &owner, Role::Viewer);
    carry(&bass, &owner);
    let viewer = Some(Role::Viewer);
    assert_eq!(here.role().unwrap(), viewer);
    assert_eq!(here.entry_form(None).unwrap().role, viewer);
    assert_eq!(here.plan_drawn(None, None).unwrap().role, viewer);
    let filter = HistoryFilter::default();
    assert_eq!(here.history_page(&filter, false, None, None, None).unwrap().role, viewer);
    assert_eq!(here.to_settle().unwrap().role, viewer);
    assert_eq!(here.strings_page().unwrap().role, viewer);
    assert_eq!(here.photo_page().unwrap().role, viewer);
    let state = here.sharing_state().unwrap();
    assert_eq!(state.role, viewer);
    assert_eq!(state.unsent, here.unsent().unwrap());
    assert_eq!(state.relay, None);
    assert_eq!(state.devices, here.device_states().unwrap());
    assert_eq!(state.held, here.held().unwrap());
    assert_eq!(here.details().unwrap().second_uses, here.second_uses().unwrap());
}

#[test]
fn a_step_of_the_plan_says_its_quantity_and_place_in_words() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let stage = bass.add_setup("stage", None).unwrap();
    bass.set_target(stage.id, target(4, "2.4 mm"), None).unwrap();
    let plan = bass.plan_drawn(None, None).unwrap().plan;
    let step = plan.steps.iter().find(|step| step.quantity == Some(action())).unwrap();
    assert_eq!(step.quantity_text, Some(quantity_label(action()).unwrap()));
    let place = step.location.as_ref().map(|place| location_label(place).unwrap());
    assert_eq!(step.location_text, place);
}

#[test]
fn the_settings_of_a_device_are_its_name_its_preferences_and_the_version() {
    let tech: Workshop = workshop("tech");
    let settings = tech.settings().unwrap();
    assert_eq!(settings.info, tech.device().unwrap());
    assert_eq!(settings.preferences, tech.preferences().unwrap());
    assert_eq!(settings.version, fallaway_ffi::version());
}

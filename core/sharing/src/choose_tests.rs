use fallaway_order::Map;
use serde_json::Value;

use super::*;
use crate::action::FrontierPoint;
use crate::testing::{Dice, in_parts};

/// A change of the tests, with its past.
#[derive(Clone)]
struct One {
    id: u32,
    device: u8,
    /// Which of the copies of an identity wrote it.
    by: usize,
    writer: u32,
    seq: u64,
    previous: Option<u32>,
    deps: Vec<u32>,
    past: Set<u32>,
    seen: Set<usize>,
    /// Of the forks: what a person wrote down.
    lines: Set<u32>,
}

fn id(number: u32) -> ChangeId {
    let mut bytes = [0; 32];
    bytes[..4].copy_from_slice(&number.to_be_bytes());
    ChangeId::from_bytes(bytes)
}

fn number(id: &ChangeId) -> u32 {
    u32::from_be_bytes(id.as_bytes()[..4].try_into().unwrap())
}

fn writer(number: u32) -> Writer {
    let mut bytes = [0; 16];
    bytes[..4].copy_from_slice(&number.to_be_bytes());
    Writer::from_bytes(bytes)
}

fn device(number: u8) -> DeviceId {
    DeviceId::from_bytes([number; 32])
}

const FOUNDING: [u8; 32] = [0xff; 32];

/// A removal of the tests: of which device, and how far its work is taken.
type Removed = (u8, Frontier);

/// A frontier that takes these changes of writers of one change each.
fn taking(ids: impl IntoIterator<Item = u32>) -> Frontier {
    let mut frontier: Frontier = ids
        .into_iter()
        .map(|number| FrontierPoint { writer: writer(number), seq: 1, tip: id(number) })
        .collect();
    frontier.sort_unstable();
    frontier
}

fn chosen<'a>(ones: impl IntoIterator<Item = &'a One>, removals: &[Removed]) -> Choice {
    let ones: Vec<&One> = ones.into_iter().collect();
    let deps: Vec<Vec<ChangeId>> = ones
        .iter()
        .map(|one| {
            let deps: Vec<ChangeId> = one.deps.iter().map(|dep| id(*dep)).collect();
            if deps.is_empty() { vec![ChangeId::from_bytes(FOUNDING)] } else { deps }
        })
        .collect();
    let changes: Vec<ChangeFacts<'_>> = ones
        .iter()
        .zip(&deps)
        .map(|(one, deps)| ChangeFacts {
            id: id(one.id),
            writer: writer(one.writer),
            seq: one.seq,
            previous: one.previous.map(id),
            device: device(one.device),
            deps,
            // Who had seen its removal might not write.
            may_write: !one.seen.iter().any(|seen| removals[*seen].0 == one.device),
            seen: one.seen.clone(),
        })
        .collect();
    let removals = removals.iter().enumerate().map(|(place, (whom, frontier))| RemovalRule {
        op: MemberHash::from_bytes([place as u8; 32]),
        device: device(*whom),
        frontier,
    });
    let rules = Rules { removals: removals.collect(), ..Rules::default() };
    choose(&ChangeId::from_bytes(FOUNDING), &changes, &rules)
}

fn within<'a>(ones: impl IntoIterator<Item = &'a One>, removals: &[Removed]) -> Set<u32> {
    chosen(ones, removals).within.iter().map(number).collect()
}

fn numbers(value: &Value) -> Vec<u32> {
    value.as_array().unwrap().iter().map(|one| one.as_u64().unwrap() as u32).collect()
}

#[test]
fn golden_sets_are_chosen_as_the_models_say() {
    let text = include_str!("../../../tests/vectors/graphs/changes.json");
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap();
    assert!(cases.len() > 200);
    let (mut late, mut lost) = (0, 0);
    for case in cases {
        let given = &case["given"];
        let removals: Vec<Removed> = match given["removals"].as_array() {
            Some(removals) => removals
                .iter()
                .map(|one| (one[1].as_u64().unwrap() as u8, taking(numbers(&one[2]))))
                .collect(),
            None => Vec::new(),
        };
        let of_forks = given["removals"].is_null();
        let ones = given["changes"].as_array().unwrap().iter().map(|line| {
            let id = line[0].as_u64().unwrap() as u32;
            let one = One {
                id,
                device: line[1].as_u64().unwrap() as u8,
                by: 0,
                writer: id,
                seq: 1,
                previous: None,
                deps: Vec::new(),
                past: Set::new(),
                seen: Set::new(),
                lines: Set::new(),
            };
            if of_forks {
                One {
                    writer: line[2].as_u64().unwrap() as u32,
                    seq: line[3].as_u64().unwrap(),
                    previous: line[4].as_u64().map(|number| number as u32),
                    deps: numbers(&line[5]),
                    ..one
                }
            } else {
                let seen = numbers(&line[3]).into_iter().map(|seen| seen as usize).collect();
                One { deps: numbers(&line[2]), seen, ..one }
            }
        });
        let ones: Vec<One> = ones.collect();
        let expected: Set<u32> = numbers(&case["expected"]["in"]).into_iter().collect();
        assert_eq!(within(&ones, &removals), expected, "{}", case["name"]);
        assert_eq!(within(ones.iter().rev(), &removals), expected, "{}", case["name"]);
        if of_forks {
            lost += ones.len() - expected.len();
        } else {
            late += ones.len() - expected.len();
        }
    }
    assert!(late > 100 && lost > 100, "the cases hold something: {late}, {lost}");
}

/// Devices that write, exchange files of which parts are lost, and remove others.
struct Scene {
    all: Vec<One>,
    here: Vec<Set<u32>>,
    removals: Vec<Removed>,
    known: Vec<Set<usize>>,
}

impl Scene {
    fn new(devices: usize) -> Self {
        let (here, known) = (vec![Set::new(); devices], vec![Set::new(); devices]);
        Self { all: Vec::new(), here, removals: Vec::new(), known }
    }

    /// What is in at a device.
    fn view(&self, at: usize) -> Vec<u32> {
        let ones = self.here[at].iter().map(|id| &self.all[*id as usize]);
        let known = self.known[at].last().map_or(0, |last| last + 1);
        // Removals that have not come bear on nobody.
        let removals: Vec<Removed> = (0..known)
            .map(|place| {
                let (whom, frontier) = &self.removals[place];
                let whom = if self.known[at].contains(&place) { *whom } else { u8::MAX };
                (whom, frontier.clone())
            })
            .collect();
        let ones: Vec<One> = ones
            .map(|one| {
                let seen = one.seen.iter().copied().filter(|seen| *seen < known).collect();
                One { seen, ..one.clone() }
            })
            .collect();
        within(&ones, &removals).into_iter().collect()
    }

    fn write(&mut self, by: usize, deps: Vec<u32>) {
        let id = self.all.len() as u32;
        let mut past: Set<u32> = deps.iter().copied().collect();
        for dep in &deps {
            past.extend(self.all[*dep as usize].past.clone());
        }
        self.all.push(One {
            id,
            device: by as u8,
            by,
            writer: id,
            seq: 1,
            previous: None,
            deps,
            past,
            seen: self.known[by].clone(),
            lines: Set::new(),
        });
        self.here[by].insert(id);
    }

    fn tips(&self, view: &[u32]) -> Vec<u32> {
        let past = |id: &u32| &self.all[*id as usize].past;
        let covered = |id: &u32| view.iter().any(|other| past(other).contains(id));
        view.iter().copied().filter(|id| !covered(id)).collect()
    }
}

#[derive(Default, Debug)]
struct Told {
    schedules: u64,
    removals: u64,
    late_let_in: u64,
    held: u64,
}

/// Two of the devices are removed, up to three times, by owners who do not know of each other; half
/// of the time the removed do not care and write on old ground.
fn removals_strand_nobody(seed: u64, told: &mut Told) {
    let mut dice = Dice::new(seed);
    let devices = 4 + dice.below(3);
    let bad = [devices - 2, devices - 1];
    let hostile = dice.one_in(2);
    let mut scene = Scene::new(devices);
    for _ in 0..10 + dice.below(40) {
        let by = dice.below(devices);
        let removed = bad.contains(&by);
        match dice.below(20) {
            0..9 => {
                let from = dice.below(devices);
                let mut came: Vec<u32> = scene.here[from].iter().copied().collect();
                if dice.one_in(3) {
                    came.retain(|_| dice.one_in(2));
                }
                scene.here[by].extend(came);
                if !(removed && hostile) {
                    let known = scene.known[from].clone();
                    scene.known[by].extend(known);
                }
            }
            9..18 => {
                let told = scene.known[by].iter();
                if told.into_iter().any(|place| usize::from(scene.removals[*place].0) == by) {
                    continue;
                }
                let view = scene.view(by);
                let mut deps = scene.tips(&view);
                if removed && hostile && dice.one_in(2) && !view.is_empty() {
                    deps = (0..dice.below(3)).map(|_| view[dice.below(view.len())]).collect();
                    let own = view
                        .iter()
                        .rev()
                        .find(|id| usize::from(scene.all[**id as usize].device) == by);
                    deps.extend(own);
                    deps.sort_unstable();
                    deps.dedup();
                }
                scene.write(by, deps);
            }
            _ if by < 2 && scene.removals.len() < 3 => {
                let whom = bad[dice.below(2)];
                let view = scene.view(by).into_iter();
                let own = view.filter(|id| usize::from(scene.all[*id as usize].device) == whom);
                let frontier = taking(own);
                scene.known[by].insert(scene.removals.len());
                scene.removals.push((whom as u8, frontier));
            }
            _ => {}
        }
    }
    let choice = chosen(&scene.all, &scene.removals);
    let mut order: Vec<&One> = scene.all.iter().collect();
    for place in (1..order.len()).rev() {
        order.swap(place, dice.below(place + 1));
    }
    assert_eq!(chosen(order, &scene.removals), choice, "seed {seed}: the order changes it");
    assert!(choice.waiting.is_empty());
    assert_eq!(choice.within.len() + choice.held.len(), scene.all.len());
    told.schedules += 1;
    told.removals += scene.removals.len() as u64;
    told.held += choice.held.len() as u64;
    let gone: Set<u8> = scene.removals.iter().map(|(whom, _)| *whom).collect();
    for one in &scene.all {
        let is_in = choice.within.contains(&id(one.id));
        if !bad.contains(&usize::from(one.device)) {
            assert!(is_in, "seed {seed}: honest work is held: {:?}", choice.held.get(&id(one.id)));
        }
        if gone.contains(&one.device) && is_in {
            let holding = scene.removals.iter().enumerate().filter(|(place, (whom, frontier))| {
                *whom == one.device
                    && !one.seen.contains(place)
                    && !frontier.iter().any(|point| point.tip == id(one.id))
            });
            for (place, _) in holding {
                told.late_let_in += 1;
                let speaks = |other: &&One| {
                    other.device != one.device
                        && other.past.contains(&one.id)
                        && !other.seen.contains(&place)
                        && choice.within.contains(&id(other.id))
                };
                assert!(scene.all.iter().find(speaks).is_some(), "seed {seed}: no evidence");
            }
        }
    }
}

#[test]
fn a_removal_strands_nothing_that_honest_people_wrote() {
    let mut told = Told::default();
    (0..4_000).for_each(|seed| removals_strand_nobody(seed, &mut told));
    assert!(told.removals > 2_000 && told.late_let_in > 300 && told.held > 300, "{told:?}");
}

#[derive(Default, Debug)]
struct Forked {
    schedules: u64,
    lines: u64,
    with_a_fork: u64,
    written_again: u64,
    rounds: u64,
}

/// Devices 0 and 1 are copies of one identity. Whoever finds its own lines held draws a new writer
/// and writes them again.
fn a_fork_loses_nothing(seed: u64, told: &mut Forked) {
    let mut dice = Dice::new(seed);
    let devices = 3 + dice.below(3);
    let identity = |device: usize| if device < 2 { 0 } else { device as u8 };
    let mut all: Vec<One> = Vec::new();
    let mut here: Vec<Set<usize>> = vec![Set::new(); devices];
    let mut writers: Vec<u32> = (0..devices).map(|one| u32::from(identity(one))).collect();
    let mut next_writer = 100;
    let view = |all: &[One], here: &Set<usize>| {
        let ones: Vec<&One> = here.iter().map(|place| &all[*place]).collect();
        within(ones, &[])
    };
    // The place of a change by its id.
    let place = |all: &[One], id: u32| all.iter().position(|one| one.id == id).unwrap();
    let add = |all: &mut Vec<One>,
               here: &mut Set<usize>,
               (by, writer): (usize, u32),
               lines: Set<u32>,
               dice: &mut Dice| {
        let inside = view(all, here);
        let inside: Vec<&One> = all.iter().filter(|one| inside.contains(&one.id)).collect();
        let last = inside.iter().filter(|one| one.writer == writer).max_by_key(|one| one.seq);
        let tips =
            inside.iter().filter(|one| !inside.iter().any(|other| other.past.contains(&one.id)));
        let deps: Vec<u32> = tips.map(|one| one.id).collect();
        let past = inside.iter().map(|one| one.id).collect();
        let one = One {
            id: dice.next() as u32,
            device: identity(by),
            by,
            writer,
            seq: last.map_or(1, |last| last.seq + 1),
            previous: last.map(|last| last.id),
            deps,
            past,
            seen: Set::new(),
            lines,
        };
        here.insert(all.len());
        all.push(one);
    };
    let mut line = 0;
    let mut script: Vec<(usize, Option<usize>)> = Vec::new();
    for _ in 0..10 + dice.below(30) {
        let by = dice.below(devices);
        script.push((by, (dice.below(20) < 9).then(|| dice.below(devices))));
    }
    // After the script everybody hears everything, round by round, until nothing moves.
    let mut rounds = 0;
    let mut steps = script.into_iter();
    let mut moved = true;
    while moved {
        let mut todo: Vec<(usize, Vec<usize>, bool)> = Vec::new();
        match steps.next() {
            Some((by, Some(from))) if identity(by) != identity(from) => {
                todo.push((by, vec![from], false));
            }
            Some((_, Some(_))) => {}
            Some((by, None)) => {
                line += 1;
                let (lines, one) = (Set::from([line]), (by, writers[by]));
                add(&mut all, &mut here[by], one, lines, &mut dice);
            }
            None => {
                rounds += 1;
                moved = false;
                todo.extend((0..devices).map(|by| (by, (0..devices).collect(), true)));
            }
        }
        for (by, from, last) in todo {
            let before = here[by].len();
            for other in from {
                let more = here[other].clone();
                here[by].extend(more);
            }
            moved |= last && here[by].len() != before;
            let inside = view(&all, &here[by]);
            let is_in = |at: &usize| inside.contains(&all[*at].id);
            let held: Vec<usize> = here[by].iter().copied().filter(|at| !is_in(at)).collect();
            let have: Set<u32> = here[by]
                .iter()
                .filter(|at| is_in(at))
                .flat_map(|at| all[*at].lines.clone())
                .collect();
            let own = writers[by];
            // A device knows what it wrote itself.
            let copied = here[by].iter().any(|at| all[*at].writer == own && all[*at].by != by);
            let lost: Set<u32> = held
                .iter()
                .filter(|at| all[**at].by == by)
                .flat_map(|at| all[*at].lines.clone())
                .filter(|line| !have.contains(line))
                .collect();
            if copied || held.iter().any(|at| all[*at].writer == own) {
                next_writer += 1;
                writers[by] = next_writer;
            }
            if !lost.is_empty() {
                told.written_again += 1;
                moved = true;
                let one = (by, writers[by]);
                add(&mut all, &mut here[by], one, lost, &mut dice);
            }
        }
        assert!(rounds < 30, "seed {seed}: it does not end");
    }
    let end = view(&all, &here[0]);
    for there in &here {
        assert_eq!(view(&all, there), end, "seed {seed}: two views");
    }
    let have: Set<u32> = end.iter().flat_map(|id| all[place(&all, *id)].lines.clone()).collect();
    assert_eq!(have.len() as u32, line, "seed {seed}: a line is missing");
    told.schedules += 1;
    told.lines += u64::from(line);
    told.rounds = told.rounds.max(rounds);
    let forked = all.iter().any(|one| {
        all.iter().any(|two| (two.writer, two.seq) == (one.writer, one.seq) && two.id != one.id)
    });
    told.with_a_fork += u64::from(forked);
}

#[test]
fn a_copied_identity_loses_no_line() {
    let mut told = Forked::default();
    (0..1_500).for_each(|seed| a_fork_loses_nothing(seed, &mut told));
    assert!(told.with_a_fork > 100 && told.written_again > 100, "{told:?}");
    assert!(told.rounds <= 5, "{told:?}");
}

/// `FALLAWAY_SCHEDULES=400000 FALLAWAY_FORKS=100000 cargo test -p fallaway-sharing --lib -- --ignored
/// --nocapture`
#[test]
#[ignore = "takes as long as you ask of it"]
fn many_schedules_strand_and_lose_nothing() {
    println!("{:?}", in_parts("SCHEDULES", 400_000, removals_strand_nobody));
    println!("{:?}", in_parts("FORKS", 100_000, a_fork_loses_nothing));
}

/// A chain of one writer and a removal within it.
fn chain(dice_of: u32, count: u32, device: u8) -> Vec<One> {
    (0..count)
        .map(|at| {
            let id = dice_of * 1000 + at;
            let deps: Vec<u32> = if at == 0 { Vec::new() } else { vec![id - 1] };
            One {
                id,
                device,
                by: 0,
                writer: dice_of,
                seq: u64::from(at) + 1,
                previous: deps.first().copied(),
                past: (dice_of * 1000..id).collect(),
                deps,
                seen: Set::new(),
                lines: Set::new(),
            }
        })
        .collect()
}

#[test]
fn a_frontier_takes_a_chain_up_to_its_point() {
    let ones = chain(1, 5, 7);
    let point = |seq: u64, tip: u32| FrontierPoint { writer: writer(1), seq, tip: id(tip) };
    let removal = |frontier: Frontier| [(7, frontier)];
    assert_eq!(within(&ones, &removal(vec![point(3, 1002)])), Set::from([1000, 1001, 1002]));
    assert_eq!(within(&ones, &removal(Vec::new())), Set::new());
    // The named change has not come yet: its number has to do.
    assert_eq!(within(&ones[..2], &removal(vec![point(3, 1002)])), Set::from([1000, 1001]));
    // A writer of the same device that is not named is not taken.
    assert_eq!(within(&chain(2, 2, 7), &removal(vec![point(3, 1002)])), Set::new());
    let held = chosen(&ones, &removal(vec![point(3, 1002)])).held;
    let by = HeldBy::Removal(MemberHash::from_bytes([0; 32]));
    assert_eq!(held, Map::from([(id(1003), by), (id(1004), by)]));
}

#[test]
fn what_is_given_twice_counts_once() {
    let mut ones = chain(1, 3, 7);
    // One that builds on two others.
    ones.extend(chain(2, 2, 8));
    ones[2].deps.push(2001);
    let twice: Vec<One> = ones.iter().chain(&ones).cloned().collect();
    let none: [(u8, Frontier); 0] = [];
    assert_eq!(chosen(&twice, &none), chosen(&ones, &none));
    assert_eq!(within(&twice, &none).len(), 5);
}

#[test]
fn what_a_writer_has_seen_it_has_seen_for_good() {
    // It names its removal once, and hides it in the next change.
    let mut ones = chain(1, 3, 7);
    ones[1].seen.insert(0);
    let choice = chosen(&ones, &[(7, taking([]))]);
    let removal = MemberHash::from_bytes([0; 32]);
    assert_eq!(choice.held.get(&id(1001)), Some(&HeldBy::KnewOfRemoval(removal)));
    assert!(!choice.within.contains(&id(1002)));
}

#[test]
fn an_acceptance_takes_in_what_was_held_and_names_the_branch_of_a_fork() {
    let mut ones = chain(1, 3, 7);
    let founding = [ChangeId::from_bytes(FOUNDING)];
    let frontier: Frontier = vec![FrontierPoint { writer: writer(1), seq: 2, tip: id(1001) }];
    let facts = |one: &One| ChangeFacts {
        id: id(one.id),
        writer: writer(one.writer),
        seq: one.seq,
        previous: one.previous.map(id),
        device: device(one.device),
        deps: &founding,
        may_write: false,
        seen: Set::new(),
    };
    let none = Rules::default();
    let accepted = Rules { accepted: vec![&frontier], ..Rules::default() };
    let changes: Vec<ChangeFacts<'_>> = ones.iter().map(facts).collect();
    assert_eq!(choose(&founding[0], &changes, &none).within.len(), 0);
    assert_eq!(choose(&founding[0], &changes, &accepted).within.len(), 2);

    // The lower id wins, unless an owner has named the other one.
    ones.truncate(2);
    let other = One { id: 5, ..ones[1].clone() };
    ones.push(other);
    let changes = ones.iter().map(|one| ChangeFacts { may_write: true, ..facts(one) });
    let changes: Vec<ChangeFacts<'_>> = changes.collect();
    let choice = choose(&founding[0], &changes, &none);
    assert_eq!(choice.held, Map::from([(id(1001), HeldBy::Fork(id(5)))]));
    let named = Rules { senior: vec![&frontier], ..Rules::default() };
    let choice = choose(&founding[0], &changes, &named);
    assert_eq!(choice.held, Map::from([(id(5), HeldBy::Fork(id(1001)))]));
}

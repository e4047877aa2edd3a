//! The first change of every record: frozen bytes over the record id.
//!
//! Sixteen zero bytes as actor, sequence 1, first operation 1, time 0, no dependencies. Operations
//! 1 to 5 make the containers in the order of their numbers, operation 6 puts the record id under
//! `record`. So two records never share a change, every device makes the same genesis, and the
//! containers have the same object ids everywhere.

use std::num::NonZeroU64;

use automerge::legacy::{Key, ObjectId, Op, OpId as LibraryOpId, OpType, SortedVec};
use automerge::{ActorId, ExpandedChange, ObjId, ObjType, ScalarValue};
use fallaway_changes::{Container, RecordId};

const ACTOR: [u8; 16] = [0; 16];

/// Containers in the order in which the genesis makes them, with their keys in the root.
const CONTAINERS: [(Container, &str); 5] = [
    (Container::FORMAT, "format"),
    (Container::SPEC, "spec"),
    (Container::SETUPS, "setups"),
    (Container::LOG, "log"),
    (Container::RETRACTED, "retracted"),
];

/// The operation that makes a container: its number plus one, by the actor of zeros.
pub(super) fn container_op(container: Container) -> LibraryOpId {
    LibraryOpId::new(u64::from(container.0) + 1, &ActorId::from(ACTOR))
}

/// The container that an operation made.
pub(super) fn container_of(op: &LibraryOpId) -> Option<Container> {
    let number = u8::try_from(op.counter().checked_sub(1)?).ok()?;
    (op.actor().to_bytes() == ACTOR && Container(number).is_known()).then_some(Container(number))
}

/// How the library names a container's map.
pub(super) fn object(container: Container) -> ObjId {
    ObjId::Id(u64::from(container.0) + 1, ActorId::from(ACTOR), 0)
}

/// The genesis of a record.
pub(super) fn change(id: &RecordId) -> automerge::Change {
    let op = |action, key: &str| Op {
        action,
        obj: ObjectId::Root,
        key: Key::from(key),
        pred: SortedVec::new(),
        insert: false,
    };
    let mut operations: Vec<_> =
        CONTAINERS.iter().map(|(_, key)| op(OpType::Make(ObjType::Map), key)).collect();
    operations.push(op(OpType::Put(ScalarValue::Bytes(id.to_bytes().to_vec())), "record"));
    automerge::Change::from(ExpandedChange {
        operations,
        actor_id: ActorId::from(ACTOR),
        hash: None,
        seq: 1,
        start_op: NonZeroU64::MIN,
        time: 0,
        message: None,
        deps: Vec::new(),
        extra_bytes: Vec::new(),
        author: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn containers_are_made_in_the_order_of_their_numbers() {
        for (number, (container, _)) in (0_u8..).zip(CONTAINERS) {
            assert_eq!(container.0, number);
            assert_eq!(container_of(&container_op(container)), Some(container));
        }
        assert_eq!(container_of(&container_op(Container(5))), None);
    }
}

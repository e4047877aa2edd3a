//! The names of the table of limits: `limits.ftl`.

use crate::Word;

crate::messages! { crate::CATALOGUE, "limits";
    limit(limit: Word, name: &str);
}

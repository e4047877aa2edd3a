//! Cautions: `cautions.ftl`.

use crate::Computed;

crate::messages! { crate::CATALOGUE, "cautions";
    rod_try();
    rod_quarter();
    rod_stop();
    rod_dead_zone();
    neck_settles();
    screw_binds();
    screws_alike();
    neck_screws_slack();
    locking_nut();
    eyes();
    floating_repeat();
    knife_edges();
    springs();
    irreversible(before: Computed);
    sharp_tools();
    shim_or_fill();
    board_levelled();
    repairer();
    clinician();
    pole_pieces();
    pickup_near();
    tension_rise();
    stress();
}

//! Bringing a table in: `import.ftl`.

crate::messages! { crate::CATALOGUE, "import";
    no_rows();
    not_csv(reason: String);
    not_json(reason: String);
    not_an_object();
    cell(row: usize, column: String);
    unknown_column();
    known_columns();
    no_dates();
    no_date();
    no_date_above();
    dates();
    in_the_future();
    unknown_quantity();
    quantities();
    of_what();
    unknown_tool();
    tools();
    unknown_phase();
    phases();
    no_hours();
    hours();
    unknown_place();
    places();
}

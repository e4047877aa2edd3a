# Names of the quantities in the table of limits, which states them in English.
limit = { $limit ->
   *[other] { $name }
}

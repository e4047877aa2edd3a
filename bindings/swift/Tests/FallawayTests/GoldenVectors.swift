import Fallaway
import Foundation
import Testing

/// The golden vectors that all languages read: `tests/vectors/README.md` says what each call takes and
/// answers.
@Suite struct GoldenVectors {
  @Test(arguments: [
    ("lengths", 100), ("geometry", 50), ("strings", 50), ("clearance", 5), ("errors", 10),
    ("plan", 2), ("changed", 2), ("drawings", 2), ("merges", 2),
  ])
  func agree(file: String, atLeast: Int) throws {
    let vectors = try JSONDecoder().decode(
      Vectors.self, from: Data(contentsOf: shared("vectors/\(file).json")))
    #expect(vectors.cases.count > atLeast)
    for one in vectors.cases {
      let found = try answer(one.call, Given(fields: one.given ?? [:]))
      for (field, expected) in one.expected {
        let actual = found[field] ?? .null
        #expect(
          expected.agrees(with: actual),
          "\(file): \(one.name): \(one.call): \(field): \(expected) expected, \(actual) found")
      }
      if one.expected["error"] == nil { #expect(found["error"] == nil, "\(file): \(one.name)") }
    }
  }

  /// A reader that accepts everything proves nothing.
  @Test func numbersAgreeToTheLastDigitStated() {
    #expect(Value.text("1.544274").agrees(with: .number(1.5442744999)))
    #expect(!Value.text("1.544274").agrees(with: .number(1.5442746)))
    #expect(!Value.text("1.5").agrees(with: .text("1.50")))
    #expect(!Value.list([.text("1")]).agrees(with: .list([])))
    #expect(!Value.null.agrees(with: .number(0)))
  }
}

struct Vectors: Decodable {
  struct Case: Decodable {
    let name: String
    let call: String
    let given: [String: Value]?
    let expected: [String: Value]
  }
  let about: String
  let source: String
  let cases: [Case]
}

/// A value of a file, or of an answer.
enum Value: Decodable, Equatable, Sendable {
  case null
  case yes(Bool)
  case number(Double)
  case text(String)
  case list([Value])

  init(from decoder: any Decoder) throws {
    let container = try decoder.singleValueContainer()
    if container.decodeNil() {
      self = .null
    } else if let yes = try? container.decode(Bool.self) {
      self = .yes(yes)
    } else if let number = try? container.decode(Double.self) {
      self = .number(number)
    } else if let text = try? container.decode(String.self) {
      self = .text(text)
    } else {
      self = .list(try container.decode([Value].self))
    }
  }

  init(_ number: Double?) { self = number.map(Value.number) ?? .null }
  init(_ number: Int?) { self = number.map { .number(Double($0)) } ?? .null }
  init(_ number: Int32?) { self = number.map { .number(Double($0)) } ?? .null }
  init(_ text: String?) { self = text.map(Value.text) ?? .null }
  init(_ yes: Bool) { self = .yes(yes) }
  init(_ texts: [String]) { self = .list(texts.map(Value.text)) }
  init(_ numbers: [Double?]) { self = .list(numbers.map { Value($0) }) }

  /// As expected: a number is stated as a text with decimals, and the answer lies within half a unit
  /// of the last digit, with a part in a million of that for binary fractions.
  func agrees(with actual: Value) -> Bool {
    switch (self, actual) {
    case (.null, .null): return true
    case (.yes(let stated), .yes(let yes)): return stated == yes
    case (.text(let stated), .text(let text)): return stated == text
    case (.text(let stated), .number(let number)):
      guard let expected = Double(stated) else { return false }
      let decimals = stated.split(separator: ".").dropFirst().first?.count ?? 0
      return abs(number - expected) <= 0.5 * pow(10, -Double(decimals)) * (1 + 1e-6)
    case (.list(let stated), .list(let list)):
      return stated.count == list.count && zip(stated, list).allSatisfy { $0.agrees(with: $1) }
    default: return false
    }
  }
}

typealias Answer = [String: Value]

/// What is given to a call.
struct Given {
  let fields: [String: Value]

  struct Missing: Error { let field: String }

  func number(_ field: String) throws -> Double {
    guard let number = maybe(field) else { throw Missing(field: field) }
    return number
  }

  func maybe(_ field: String) -> Double? {
    if case .number(let number)? = fields[field] { return number }
    return nil
  }

  func count(_ field: String) throws -> Int { Int(try number(field)) }

  func numbers(_ field: String) -> [Double] {
    switch fields[field] {
    case .list(let list)?: return list.compactMap { if case .number(let n) = $0 { n } else { nil } }
    case .number(let number)?: return [number]
    default: return []
    }
  }

  func texts(_ field: String) -> [String] {
    guard case .list(let list)? = fields[field] else { return [] }
    return list.compactMap { if case .text(let text) = $0 { text } else { nil } }
  }

  func text(_ field: String) throws -> String {
    guard let text = maybeText(field) else { throw Missing(field: field) }
    return text
  }

  func maybeText(_ field: String) -> String? {
    if case .text(let text)? = fields[field] { return text }
    return nil
  }

  func yes(_ field: String) -> Bool { fields[field] == .yes(true) }
}

/// The answer to a call, or its refusal, field by field.
func answer(_ call: String, _ given: Given) throws -> Answer {
  do {
    if let found = try formulaAnswer(call, given) { return found }
    if let found = try lookAnswer(call, given) { return found }
    if let found = try workshopAnswer(call, given) { return found }
    if let found = try recordAnswer(call, given) { return found }
    throw Given.Missing(field: "call \(call)")
  } catch let error as FallawayError {
    return refusal(error)
  }
}

func refusal(_ error: FallawayError) -> Answer {
  let told = { (kind: String, field: String, accepted: String) -> Answer in
    ["error": Value(kind), "field": Value(field), "accepted": Value(accepted)]
  }
  switch error {
  case .notFound(let what, _, let accepted, _): return told("not_found", snake(what), accepted)
  case .badInput(let field, _, let accepted, _, _, _): return told("bad_input", field, accepted)
  case .unsure(let field, _): return told("unsure", field, "")
  case .contested(let field): return told("contested", field, "")
  case .planMoved: return told("plan_moved", "", "")
  case .readOnly: return told("read_only", "", "")
  case .refused: return told("refused", "", "")
  case .notAllowed: return told("not_allowed", "", "")
  case .busy: return told("busy", "", "")
  case .full: return told("full", "", "")
  case .storage: return told("storage", "", "")
  case .keys: return told("keys", "", "")
  case .closed: return told("closed", "", "")
  case .cancelled: return told("cancelled", "", "")
  case .internal: return told("internal", "", "")
  }
}

/// A case of an enum as the files write it.
func snake<Case>(_ one: Case) -> String {
  String(describing: one).reduce(into: "") { told, letter in
    if letter.isUppercase { told.append("_") }
    told.append(contentsOf: letter.lowercased())
  }
}

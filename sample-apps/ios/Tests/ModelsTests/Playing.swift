import Fallaway
import Foundation

@testable import Models

/// The scripted days of `tests/vectors/screens/days.json`: what is done, and what is seen then.
struct Days: Decodable {
  let languages: [String: [Step]]

  struct Step: Decodable {
    let at: Int64
    let phone: String
    let `do`: String
    let on: String?
    let with: String?
    let screen: String
    let elements: [Shown]?
  }

  struct Shown: Decodable, Equatable {
    let id: String
    let role: String
    let text: String
    var value: String?
    var state: String?
    var detail: String?
    var touch: Bool?
    var chosen: Bool?
    var main: Bool?

    /// An element as it is recorded: a text that is another one each time is a star, and what is not so is left out.
    init(_ one: Element) {
      let kept = one.role == .field || one.role == .code || !one.varies
      id = one.id
      role = one.role.rawValue
      text = kept ? one.text : "*"
      value = one.value.map { one.varies ? "*" : $0 }
      state = one.state
      detail = one.detail
      touch = one.touch ? true : nil
      chosen = one.chosen ? true : nil
      main = one.main ? true : nil
    }
  }

  static func read() throws -> Days {
    try JSONDecoder().decode(
      Days.self, from: Data(contentsOf: checkout("tests/vectors/screens/days.json")))
  }
}

/// A file of the checkout.
func checkout(_ path: String) -> URL {
  var folder = URL(fileURLWithPath: #filePath)
  for _ in 1...5 { folder.deleteLastPathComponent() }
  return folder.appendingPathComponent(path)
}

/// Two phones on a stopped clock, on which the days are played.
@MainActor
final class Playing {
  let phones: [String: Phone]
  private let clock: Clock
  private var sent: [String: Data] = [:]
  private let room: Room

  /// What is done was not possible: the screens differ.
  struct Stuck: Error, CustomStringConvertible {
    let description: String
  }

  init(_ language: String) async throws {
    let clock = Clock()
    let texts = try Catalogue.read(language)
    let room = Room()
    var phones: [String: Phone] = [:]
    for label in ["tech", "player"] {
      let workshop = try await Workshop.inMemory(label: label, time: clock, random: Seeded(label))
      try await workshop.setPreferences(preferences: Preferences(language: language))
      let phone = Phone(
        workshop: workshop, texts: { _ in texts }, now: { clock.moment }, http: NoNetwork(),
        nearby: InRoom(room: room, label: label))
      await phone.start()
      phones[label] = phone
    }
    self.clock = clock
    self.room = room
    self.phones = phones
  }

  func phone(_ label: String) throws -> Phone {
    guard let phone = phones[label] else { throw Stuck(description: "no phone of \(label)") }
    return phone
  }

  /// Does a step, and answers the phone that it was done with.
  func play(_ step: Days.Step) async throws -> Phone {
    clock.set(step.at)
    let phone = try phone(step.phone)
    let id = step.on ?? ""
    let there = phone.shown.first { $0.id == id }
    switch step.do {
    case "tap":
      guard id == "back" || there?.touch == true else {
        throw Stuck(
          description: "\(step.at): nothing to tap called \(id): \(phone.shown.map(\.id))")
      }
      await phone.tap(id)
    case "type":
      guard there != nil else { throw Stuck(description: "\(step.at): no field \(id)") }
      await phone.type(id, step.with ?? "")
    case "hear":
      let said = try self.phone(step.with ?? "").shown.first { $0.id == id }
      await phone.type(id, said?.value ?? said?.text ?? "")
    case "photograph": await phone.photographed(bytes(step.with ?? ""))
    case "see": break
    case "receive": await phone.receive(sent[step.with ?? ""] ?? Data())
    case "look": await phone.changed()
    default: throw Stuck(description: "nobody can \(step.do)")
    }
    await settled()
    while let effect = phone.nextEffect() {
      if case .share(_, let bytes) = effect {
        sent[step.phone] = bytes
        await phone.handedOver()
      }
    }
    return phone
  }

  /// Waits until what each phone waits for apart is done, or waits for the other phone.
  private func settled() async {
    for (label, phone) in phones {
      while phone.underWay > 0, !(await room.waits(label)) { await Task.yield() }
    }
  }

  /// What hexadecimal digits stand for.
  private func bytes(_ digits: String) -> Data {
    var rest = digits[...]
    var bytes = Data()
    while !rest.isEmpty {
      bytes.append(UInt8(rest.prefix(2), radix: 16) ?? 0)
      rest = rest.dropFirst(2)
    }
    return bytes
  }
}

/// A phone in flight mode.
final class NoNetwork: HttpTransport {
  func send(request: HttpRequest) throws -> HttpResponse {
    throw TransportError.offline(reason: "flight mode")
  }
}

/// A clock that stands until it is set.
final class Clock: TimeSource, @unchecked Sendable {
  // The lock guards the seconds.
  private let lock = NSLock()
  private var unixS: Int64 = 0

  func set(_ unixS: Int64) { lock.withLock { self.unixS = unixS } }

  var moment: Moment { lock.withLock { Moment(unixS: unixS, offsetMin: 60) } }

  func now() throws -> Moment { moment }
}

/// Bytes that are the same each time: xorshift64* (Vigna, "An experimental exploration of Marsaglia's xorshift
/// generators, scrambled", 2016), its high byte.
final class Seeded: RandomSource, @unchecked Sendable {
  // The lock guards the state.
  private let lock = NSLock()
  private var state: UInt64

  init(_ seed: String) {
    state = seed.utf16.reduce(1) { $0 &* 31 &+ UInt64($1) }
  }

  func draw(count: Int) throws -> Data {
    lock.withLock {
      Data(
        (0..<count).map { _ in
          state ^= state >> 12
          state ^= state << 25
          state ^= state >> 27
          return UInt8(truncatingIfNeeded: (state &* 2_685_821_657_736_338_717) >> 56)
        })
    }
  }
}

/// The string catalogue where there is no Xcode to compile it: read as it is.
struct Catalogue: Texts, Decodable {
  let strings: [String: Entry]
  var language = ""

  struct Entry: Decodable {
    let localizations: [String: Localization]
  }

  struct Localization: Decodable {
    var stringUnit: Unit?
    var variations: Variations?
  }

  struct Variations: Decodable {
    let plural: [String: Form]
  }

  struct Form: Decodable {
    let stringUnit: Unit
  }

  struct Unit: Decodable {
    let value: String
  }

  enum CodingKeys: String, CodingKey { case strings }

  static func read(_ language: String) throws -> Catalogue {
    let file = checkout("sample-apps/ios/App/Localizable.xcstrings")
    var read = try JSONDecoder().decode(Catalogue.self, from: Data(contentsOf: file))
    read.language = language
    return read
  }

  func text(_ say: Say, _ with: [String]) -> String {
    (strings[say.rawValue]?.localizations[language]?.stringUnit?.value ?? "").filled(with)
  }

  func count(_ say: Count, _ number: Int) -> String {
    let forms = strings[say.rawValue]?.localizations[language]?.variations?.plural ?? [:]
    return (forms[number == 1 ? "one" : "other"]?.stringUnit.value ?? "")
      .replacing("%lld", with: "\(number)")
  }
}

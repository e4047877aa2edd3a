import Fallaway
import Foundation
import Testing

@testable import Models

/// Where the relay is that `cargo tool test ios` starts.
private let address = ProcessInfo.processInfo.environment["FALLAWAY_RELAY"]

/// Two phones and a relay, which is a program of its own on this machine, by the transport that the app has on a phone.
@MainActor
struct RelayTests {
  private func phone(_ label: String) async throws -> Phone {
    let workshop = try await Workshop.inMemory(label: label)
    try await workshop.setPreferences(preferences: Preferences(language: "en"))
    let texts = try Catalogue.read("en")
    let phone = Phone(
      workshop: workshop, texts: { _ in texts },
      now: { Moment(unixS: 1_759_737_600, offsetMin: 60) }, http: URLSessionTransport())
    await phone.start()
    return phone
  }

  /// Taps, and waits for what the network is waited for.
  private func does(_ phone: Phone, _ ids: String...) async throws {
    for id in ids {
      try #require(
        phone.shown.contains { $0.id == id && $0.touch },
        "\(id) on \(phone.pages.last?.name ?? ""): \(phone.shown.map(\.id))")
      await phone.tap(id)
      await phone.settled()
    }
  }

  private func problems(_ phone: Phone) -> [String] {
    phone.shown.filter { $0.id == "problem" }.map(\.spoken)
  }

  @Test("what one writes is on the other after both exchanged", .enabled(if: address != nil))
  func exchange() async throws {
    let (tech, player) = (try await phone("tech"), try await phone("player"))
    try await does(tech, "add")
    await tech.type("name", "loan bass")
    try await does(tech, "save", "tab.more", "send")
    await tech.type("address", address ?? "")
    try await does(tech, "relay.use", "exchange")
    #expect(problems(tech) == [])
    #expect(tech.shown.contains { $0.id == "exchanged" })
    await tech.tap("back")
    try await does(tech, "people", "invite.contributor")
    let words = try #require(tech.shown.first { $0.id == "words" }).text
    await tech.tap("file")
    guard case .share(_, let file)? = tech.nextEffect() else {
      Issue.record("no file is handed over")
      return
    }
    await tech.handedOver()
    try await does(player, "join")
    await player.type("words", words)
    await player.receive(file)
    try await does(player, "join", "tab.more", "note")
    await player.type("remark", "hums at the seventh fret")
    try await does(player, "save")
    await player.tap("back")
    try await does(player, "send", "exchange")
    await tech.tap("back")
    try await does(tech, "send", "exchange")
    try await does(player, "exchange")
    try await does(tech, "exchange")
    #expect(problems(tech) + problems(player) == [])
    await tech.tap("back")
    try await does(tech, "tab.history")
    #expect(tech.shown.filter { $0.text.contains("hums at the seventh fret") }.count == 1)
    try await does(player, "relay.leave")
    #expect(player.shown.contains { $0.id == "address" })
  }

  @Test("a relay that is not there is said, and the app goes on")
  func nobody() async throws {
    let tech = try await phone("tech")
    try await does(tech, "add")
    await tech.type("name", "loan bass")
    try await does(tech, "save", "tab.more", "send")
    // The port for discarding (RFC 863), on which nothing speaks HTTP.
    await tech.type("address", "http://127.0.0.1:9")
    try await does(tech, "relay.use", "exchange")
    #expect(!problems(tech).isEmpty || tech.shown.contains { $0.id == "exchanged" })
    #expect(tech.shown.contains { $0.id == "exchange" && $0.touch })
    await tech.tap("back")
    try await does(tech, "note")
  }
}

import Fallaway
import Foundation
import Testing

@testable import Models

/// Where a relay runs, if one does.
private let address = ProcessInfo.processInfo.environment["FALLAWAY_RELAY"]

/// Two phones and a relay, which is a program of its own on this machine.
@MainActor
@Suite(.enabled(if: address != nil))
struct RelayTests {
  private func phone(_ label: String) async throws -> Phone {
    let workshop = try await Workshop.inMemory(label: label)
    try await workshop.setPreferences(preferences: Preferences(language: "en"))
    let texts = try Catalogue.read("en")
    let phone = Phone(
      workshop: workshop, texts: { _ in texts }, now: { Moment(unixS: 1_759_737_600, offsetMin: 60) },
      http: URLSessionTransport())
    await phone.start()
    return phone
  }

  private func does(_ phone: Phone, _ ids: String...) async {
    for id in ids {
      #expect(phone.shown.contains { $0.id == id && $0.touch } || id == "back", "\(id)")
      await phone.tap(id)
      await phone.settled()
    }
  }

  @Test("what one writes is on the other after both exchanged")
  func exchanged() async throws {
    let (tech, player) = (try await phone("tech"), try await phone("player"))
    await does(tech, "add")
    await tech.type("name", "loan bass")
    await does(tech, "save", "tab.more", "send")
    await tech.type("address", try #require(address))
    await does(tech, "relay.use", "exchange")
    #expect(tech.shown.contains { $0.id == "exchanged" })
    await does(tech, "back", "people", "invite.contributor")
    let words = try #require(tech.shown.first { $0.id == "words" }?.text)
    await does(tech, "file")
    guard case .share(_, let file) = tech.nextEffect() else {
      Issue.record("no file")
      return
    }
    await tech.handedOver()
    await does(player, "join")
    await player.type("words", words)
    await player.receive(file)
    await does(player, "join", "tab.more", "note")
    await player.type("remark", "hums at the seventh fret")
    await does(player, "save", "back", "send", "exchange")
    await does(tech, "back", "send", "exchange")
    await does(player, "exchange")
    await does(tech, "exchange")
    #expect(!tech.shown.contains { $0.id == "problem" })
    await does(tech, "back", "tab.history")
    #expect(tech.shown.filter { $0.text.contains("hums at the seventh fret") }.count == 1)
  }
}

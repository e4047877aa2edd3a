import Fallaway
import Foundation
import Testing

/// Where the relay is that `cargo tool test swift` starts.
private let relay = ProcessInfo.processInfo.environment["FALLAWAY_RELAY"]

/// A transport that has no network.
private final class Failing: HttpTransport {
  private let error: any Error & Sendable

  init(_ error: any Error & Sendable) { self.error = error }

  func send(request: HttpRequest) throws -> HttpResponse { throw error }
}

private struct Defect: Error {}

/// Stops whatever it watches.
private final class Stop: ProgressListener {
  func at(done: UInt64, total: UInt64) throws -> ControlFlow { .break }
}

/// Two devices that never meet share an instrument by a relay: the program itself, over HTTP.
@Suite struct RelayTests {
  private let http = URLSessionTransport()

  /// Two devices that know each other by the relay alone.
  private func twoByRelay(_ relay: String) async throws -> (Device, Device) {
    let tech = try bench()
    try tech.bass.setRelayBlocking(url: relay)
    let invitation = try tech.bass.inviteBlocking(role: .contributor)
    try await tech.bass.sync(http: http)
    let workshop = try Workshop.inMemoryBlocking(
      label: "player", time: Ticking(from: 1_780_100_000))
    // The welcome holds no history: that comes by the relay.
    let bass = try workshop.acceptBlocking(invitation: invitation.words, bundle: invitation.welcome)
    try await bass.sync(http: http)
    try await tech.bass.sync(http: http)
    try await bass.sync(http: http)
    return (tech, (workshop, bass))
  }

  @Test(.enabled(if: relay != nil)) func twoDevicesShareAnInstrumentByARelayAlone() async throws {
    let (tech, player) = try await twoByRelay(#require(relay))
    try player.bass.addRemarkBlocking(text: "tried at the rehearsal")
    try tech.bass.addRemarkBlocking(text: "fret 3 is worn")
    let waits = try #require(try player.bass.relayBlocking())
    #expect(waits.url == relay && waits.waiting > 0 && waits.text.contains("wait"))
    let sent = try await player.bass.sync(http: http)
    #expect(sent.outcome == .upToDate && sent.sent > 0)
    #expect(sent.sentences.first == "everything is exchanged")
    #expect(try player.bass.relayBlocking()?.waiting == 0)
    let all = try await tech.workshop.sync(http: http)
    #expect(all.map(\.instrument) == [tech.bass.id])
    let merges = try #require(all.first?.report).merges
    #expect(merges.flatMap(\.added).map(\.device) == ["player"])
    try await player.bass.sync(http: http)
    let (ours, theirs) = (try tech.bass.detailsBlocking(), try player.bass.detailsBlocking())
    #expect(ours.historyDigest == theirs.historyDigest)
  }

  @Test(.enabled(if: relay != nil)) func newsReachesWhoWaits() async throws {
    let (tech, player) = try await twoByRelay(#require(relay))
    async let waits = player.bass.waitForNews(http: http)
    // The workshop is free while it waits.
    try await player.bass.addRemark(text: "the workshop can be used")
    try await tech.bass.addRemark(text: "fret 3 is worn")
    try await tech.bass.sync(http: http)
    #expect(try await waits.outcome == .upToDate)
    try await player.bass.sync(http: http)
    #expect(try player.bass.historyBlocking().contains { $0.text == "fret 3 is worn" })
  }

  @Test func aRelayIsSetBeforeAnythingIsExchanged() throws {
    let tech = try bench()
    #expect(try tech.bass.relayBlocking() == nil)
    let none = error { try tech.bass.syncBlocking(http: http) }
    guard case .notFound? = none else {
      Issue.record("\(String(describing: none))")
      return
    }
    let plain = error { try tech.bass.setRelayBlocking(url: "http://relay.example") }
    guard case .badInput? = plain else {
      Issue.record("\(String(describing: plain))")
      return
    }
    try tech.bass.setRelayBlocking(url: "https://relay.example/")
    #expect(try tech.bass.relayBlocking()?.url == "https://relay.example")
    try tech.bass.setRelayBlocking(url: nil)
    #expect(try tech.bass.relayBlocking() == nil)
  }

  @Test func whyNoAnswerCameIsTold() throws {
    func ends(_ transport: any HttpTransport) throws -> SyncOutcome {
      let tech = try bench()
      try tech.bass.setRelayBlocking(url: "http://127.0.0.1:9")
      return try tech.bass.syncBlocking(http: transport).outcome
    }
    func why(_ outcome: SyncOutcome) -> ExchangeFault? {
      if case .later(let why, _) = outcome { return why }
      return nil
    }
    #expect(why(try ends(http)) == .offline)
    #expect(why(try ends(Failing(TransportError.slow(reason: "an hour")))) == .slow)
    #expect(why(try ends(Failing(Defect()))) == .offline)
  }

  @Test func progressStopsAnExchange() throws {
    let tech = try bench()
    try tech.bass.setRelayBlocking(url: "http://127.0.0.1:9")
    let report = try tech.bass.syncBlocking(
      http: Failing(TransportError.slow(reason: "")), progress: Stop())
    #expect(report.outcome == .stopped)
  }

  @Test(.enabled(if: relay != nil)) func anAnswerThatIsTooLongIsNone() throws {
    let url = try #require(relay) + "/v1/openapi.json"
    let get = { (most: Int) in
      HttpRequest(
        method: "GET", url: url, headers: [], body: Data(), timeoutS: 9, maxBody: most)
    }
    #expect(try http.send(request: get(1_000_000)).status == 200)
    #expect(throws: TransportError.self) { try http.send(request: get(10)) }
  }
}

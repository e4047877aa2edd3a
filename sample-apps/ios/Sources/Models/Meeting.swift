import Fallaway
import Foundation

/// Two phones in one room exchange all that they share, with no relay and no file: one shows six digits, the other one
/// types them. With an invitation this phone joins what the other one shares.
final class Meeting: Screen {
  override var name: String { "meeting" }
  private var invitation: String?
  private var typed = ""
  private var shows: String?
  private var waits = false
  private var nobody = false
  private var report: MeetReport?

  init(_ phone: Phone, _ invitation: String? = nil) {
    self.invitation = invitation
    super.init(phone)
  }

  override func body() -> [Element] {
    var shown = [title(.meeting), Element("about", .text, say(.meetingAbout))]
    if let report { shown += came(report) }
    if nobody { shown.append(Element("nobody", .banner, say(.nobodyCame))) }
    if waits {
      if let shows {
        shown.append(Element("digits", .number, say(.digitsToType), value: shows, varies: true))
      }
      shown.append(Element("waiting", .text, say(.waitingForPhone)))
      shown.append(button("stop", .stopWaiting))
      return shown
    }
    let ready = typed.trimmed.count == 6
    shown.append(button("show", .showDigits, main: report == nil && !ready))
    shown.append(
      Element("digits", .field, say(.theDigits), value: typed, varies: !typed.isEmpty))
    if ready { shown.append(button("come", .meetNow, main: true)) }
    return shown
  }

  private func came(_ report: MeetReport) -> [Element] {
    // Of one instrument how it ended is how the meeting ended, and its first sentence names it.
    let alone = report.met.count == 1
    var shown = alone ? [] : [Element("met", .banner, report.text.sentence)]
    for (at, one) in report.met.enumerated() {
      let said = one.sentences.map { text in
        text.sentence.hasSuffix(".") ? text.sentence : text.sentence + "."
      }
      shown.append(
        Element(
          "met.\(at + 1)", alone ? .banner : .row, said.first ?? one.name,
          detail: said.dropFirst().joined(separator: " ").unlessEmpty))
    }
    shown += came(report.met.flatMap(\.merges))
    if invitation != nil && !report.met.isEmpty {
      shown.append(button("open", .open, main: true))
    }
    return shown
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "show":
      let digits = try await phone.workshop.meetingDigits()
      shows = digits
      meet(listens: true, digits)
    case "come":
      shows = nil
      meet(listens: false, typed.trimmed)
    case "stop": await phone.nearby?.stop()
    case "open":
      if let met = report?.met.first { try await phone.openFromList(met.instrument) }
    default: break
    }
  }

  /// The person sees the screen meanwhile, and may go elsewhere: what has come stays.
  private func meet(listens: Bool, _ digits: String) {
    guard let nearby = phone.nearby else { return }
    let options = MeetOptions(listens: listens, digits: digits, invitation: invitation)
    let workshop = phone.workshop
    waits = true
    nobody = false
    report = nil
    phone.apart {
      let met = await Result {
        let found =
          listens ? await nearby.listen(digits: digits) : await nearby.find(digits: digits)
        guard let found else { return MeetReport?.none }
        defer { found.end() }
        return try await workshop.meet(stream: found.stream, options: options)
      }
      return {
        self.waits = false
        await self.tried {
          self.report = try met.get()
          self.nobody = self.report == nil
          self.typed = ""
        }
      }
    }
  }

  override func left() async {
    if waits { await phone.nearby?.stop() }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "digits" { typed = text }
  }

  override func kept() -> [String: String] {
    var kept = ["digits": typed]
    kept["invitation"] = invitation
    return kept
  }

  override func restore(_ kept: [String: String]) async {
    typed = kept["digits"] ?? ""
    invitation = kept["invitation"]
  }
}

import Fallaway
import Foundation

/// Photos of the instrument: added, looked at one by one, and fetched where another device has them.
final class Photos: Screen {
  override var name: String { "photos" }
  override var writes: Bool { true }

  override func forReader(_ one: Element) -> Element? {
    ["caption", "add", "cross"].contains(one.id) ? nil : one
  }

  private var photos: [PhotoView] = []
  private var caption = ""
  private var opened: EntryId?
  private var picture: Data?
  private var fetching = false
  private var fetched: String?

  override func load() async throws {
    photos = try await phone.instrument().photos().filter { !$0.retracted }.reversed()
  }

  override func body() -> [Element] {
    var shown = [title(.photos)]
    if let fetched { shown.append(Element("fetched", .banner, fetched.sentence)) }
    if photos.isEmpty { shown.append(Element("none", .text, say(.noPhotosYet))) }
    for (at, one) in photos.enumerated() {
      let here = one.entry == opened
      let missing = one.state == .missing
      let words = one.caption ?? say(.photo)
      shown.append(
        Element(
          "photo.\(at + 1)", .row, words, state: missing ? say(.notHereYet) : nil, touch: true,
          chosen: here))
      if here { shown += about(words, missing) }
    }
    shown.append(Element("caption", .field, say(.caption), value: caption))
    shown.append(button("add", .addPhoto, main: opened == nil))
    return shown
  }

  private func about(_ words: String, _ missing: Bool) -> [Element] {
    var shown: [Element] = []
    if let picture { shown.append(Element("picture", .photo, words, picture: picture)) }
    if missing {
      shown.append(Element("missing", .text, say(.photoIsElsewhere)))
      if fetching { shown.append(Element("fetching", .text, say(.exchanging))) }
      if !fetching && phone.http != nil {
        shown.append(button("fetch", .fetchPhoto, main: true))
      }
    }
    shown.append(button("cross", .crossOut))
    return shown
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "add": phone.effects.append(.choosePhoto)
    case "fetch":
      if let opened { fetch(try phone.instrument(), opened) }
    case "cross":
      guard let opened else { return }
      _ = try await phone.instrument().retract(entry: opened, reason: say(.aSlip))
      try await look(nil)
      try await load()
    default:
      guard let at = id.place("photo"), let one = photos.at(at) else { return }
      try await look(one.entry == opened ? nil : one.entry)
    }
  }

  /// The bytes are read when it is looked at, and not for a list.
  private func look(_ photo: EntryId?) async throws {
    opened = photo
    picture = nil
    if let photo { picture = try await phone.instrument().photoBytes(entry: photo) }
  }

  /// A photo was taken or chosen.
  func took(_ bytes: Data) async {
    await tried {
      let caption = self.caption.trimmed.unlessEmpty
      _ = try await self.phone.instrument().addPhoto(file: bytes, caption: caption)
      self.caption = ""
      try await self.load()
      try await self.look(self.photos.first?.entry)
    }
  }

  private func fetch(_ instrument: Instrument, _ photo: EntryId) {
    guard let http = phone.http else { return }
    fetching = true
    fetched = nil
    phone.apart {
      let came = await Result { try await instrument.fetchPhoto(http: http, entry: photo) }
      return {
        self.fetching = false
        await self.tried {
          self.fetched = try came.get().text
          try await self.load()
          if self.opened == photo { try await self.look(photo) }
        }
      }
    }
  }

  override func typed(_ id: String, _ text: String) async {
    if id == "caption" { caption = text }
  }

  override func kept() -> [String: String] { ["caption": caption] }

  override func restore(_ kept: [String: String]) async { caption = kept["caption"] ?? "" }
}

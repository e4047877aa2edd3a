import Fallaway
import Foundation

/// A page to hand over: to whoever takes the instrument home, or to whoever sets it up next.
final class Sheet: Screen {
  override var name: String { "sheet" }
  private var kind = SheetKind.customer
  private var page: SheetTexts?

  /// What the page is called that goes to other people.
  private static let file = "set-up.html"

  override func load() async throws {
    page = nil
    page = try await phone.instrument().sheet(kind: kind, setup: phone.setup)
  }

  override func body() -> [Element] {
    var shown = [
      title(.sheet), choice("kind.customer", say(.sheetForOwner), kind == .customer),
      choice("kind.bench", say(.sheetForBench), kind == .bench),
    ]
    guard let page else { return shown }
    shown.append(button("send", .sendTheSheet, main: true))
    shown.append(Element("of", .text, page.title, detail: page.subtitle))
    var begins = false
    // The first two lines are the title and what is below it.
    let lines = page.text.split(separator: "\n", omittingEmptySubsequences: false).dropFirst(2)
    for (at, line) in lines.map(String.init).enumerated() {
      let id = "line.\(at + 1)"
      if line.trimmed.isEmpty {
        begins = true
      } else if begins {
        shown.append(heading(id, line))
        begins = false
      } else if let caution = line.after("! ") {
        shown.append(Element(id, .caution, caution))
      } else {
        shown.append(Element(id, .text, (line.after("- ") ?? line).trimmed.sentence))
      }
    }
    return shown
  }

  override func touched(_ id: String) async throws {
    switch id {
    case "kind.customer": try await turn(to: .customer)
    case "kind.bench": try await turn(to: .bench)
    case "send":
      if let page { phone.share(Self.file, Data(page.html.utf8)) {} }
    default: break
    }
  }

  private func turn(to wanted: SheetKind) async throws {
    kind = wanted
    try await load()
  }

  override func kept() -> [String: String] { ["kind": kind == .bench ? "BENCH" : "CUSTOMER"] }

  override func restore(_ kept: [String: String]) async throws {
    try await turn(to: kept["kind"] == "BENCH" ? .bench : .customer)
  }
}

import Foundation
import Testing

/// The views' sources, read: what decides anything stands in the models.
struct ViewsTests {
  private static func sources() throws -> [(name: String, text: String)] {
    let folder = checkout("sample-apps/ios/Sources/Views")
    let names = try FileManager.default.contentsOfDirectory(atPath: folder.path)
    return try names.filter { $0.hasSuffix(".swift") }.map { name in
      let text = try String(contentsOf: folder.appendingPathComponent(name), encoding: .utf8)
      let code = text.split(separator: "\n").filter {
        !$0.trimmingCharacters(in: .whitespaces).hasPrefix("//")
      }
      return (name, code.joined(separator: "\n"))
    }
  }

  @Test("no text stands in a view: all come from an element")
  func texts() throws {
    let sources = try Self.sources()
    #expect(sources.count >= 4)
    for (name, text) in sources {
      #expect(text.matches(of: /"[^"\n]+"/).isEmpty, "\(name) holds a text")
    }
  }

  @Test("no view asks the core anything")
  func calls() throws {
    let words = [
      "await", "try", "Workshop", "Instrument", "parseReading", "locationLabel", "quantityLabel",
      "look(",
    ]
    for (name, text) in try Self.sources() {
      for word in words { #expect(!text.contains(word), "\(name): \(word)") }
      if text.contains("import Fallaway") { #expect(name == "Drawing.swift") }
    }
  }

  @Test("the system is told of the task in the background by the name that the app asks by")
  func background() throws {
    func text(_ file: String) throws -> String {
      try String(contentsOf: checkout("sample-apps/ios/App/" + file), encoding: .utf8)
    }
    let name = try #require(try text("FallawayApp.swift").firstMatch(of: /name = "([^"]+)"/)?.1)
    #expect(
      try text("project.yml").contains("BGTaskSchedulerPermittedIdentifiers: [\(name)]"))
  }

  @Test("every declaration of the stand-in stands under the page of Apple's that it follows")
  func standIn() throws {
    let folder = checkout("sample-apps/ios/StandIn")
    let files = try FileManager.default.subpathsOfDirectory(atPath: folder.path)
    var declared = 0
    for file in files where file.hasSuffix(".swift") {
      let text = try String(contentsOf: folder.appendingPathComponent(file), encoding: .utf8)
      let lines = text.split(separator: "\n").map { $0.trimmingCharacters(in: .whitespaces) }
      // A page is named by the names of which it is of; what is our own is called so, by its name.
      let named = lines.filter { $0.hasPrefix("//") }.joined(separator: " ").lowercased()
      let pages = Set(named.split { !$0.isLetter && !$0.isNumber }.map(String.init))
      // Cases and constants stand on the page of their type.
      let kinds = /(?:struct|class|enum|protocol|func|associatedtype|typealias|var) ([A-Za-z]\w*)/
      for line in lines where !line.hasPrefix("//") {
        guard let name = line.firstMatch(of: kinds)?.1, name != "var" else { continue }
        declared += 1
        #expect(pages.contains(name.lowercased()), "\(file): \(name)")
      }
    }
    #expect(declared > 150)
  }

  @Test("no view decides by a value of the trade: it compares roles, not numbers or texts")
  func conditions() throws {
    for (name, text) in try Self.sources() where name != "Drawing.swift" {
      for match in text.matches(of: /(==|!=|<=|>=| < | > ) ?(\S+)/) {
        let right = String(match.2)
        #expect(right.hasPrefix(".") || right.hasPrefix("depth"), "\(name): \(match.0)")
      }
    }
  }
}

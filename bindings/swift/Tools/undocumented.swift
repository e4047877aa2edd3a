// Lists the public symbols that have no comment; ends with 1 if there are any.
import Foundation

struct Graph: Decodable {
  struct Symbol: Decodable {
    struct Identifier: Decodable { let precise: String }
    struct Kind: Decodable { let identifier: String }
    struct Comment: Decodable {}
    struct Generics: Decodable {}
    let identifier: Identifier
    let kind: Kind
    let pathComponents: [String]
    let docComment: Comment?
  }
  let symbols: [Symbol]
}

let folder = URL(fileURLWithPath: CommandLine.arguments[1])
let files = try FileManager.default.contentsOfDirectory(at: folder, includingPropertiesForKeys: nil)
var bare: [String] = []
var count = 0
for file in files where file.pathExtension == "json" {
  let graph = try JSONDecoder().decode(Graph.self, from: Data(contentsOf: file))
  for symbol in graph.symbols {
    count += 1
    // A record's initialiser takes the record's fields, each of which is documented.
    if symbol.kind.identifier == "swift.init" && symbol.pathComponents.count == 2 { continue }
    if symbol.docComment == nil { bare.append(symbol.pathComponents.joined(separator: ".")) }
  }
}
guard count > 100 else {
  print("only \(count) public symbols: the module's symbols were not extracted")
  exit(1)
}
for name in bare.sorted() { print("no comment: \(name)") }
print("\(count) public symbols, \(bare.count) without a comment")
exit(bare.isEmpty ? 0 : 1)

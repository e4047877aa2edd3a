// Not run where the project is checked, which has no Apple system: see README.md.
import BackgroundTasks
import Fallaway
import Models
import PhotosUI
import SwiftUI
import UniformTypeIdentifiers
import Views

/// The app on an Apple system: opens the workshop, shows the phone, and does what the phone asks of the system.
@main
struct FallawayApp: App {
  @UIApplicationDelegateAdaptor(Orientation.self) private var orientation

  var body: some SwiftUI.Scene {
    WindowGroup { OpenedView() }
      // https://developer.apple.com/documentation/swiftui/scene/backgroundtask(_:action:)
      .backgroundTask(.appRefresh(Exchanging.name)) { await Exchanging.run() }
  }
}

/// The phone, once the workshop is open.
struct OpenedView: View {
  @Environment(\.scenePhase) private var phase
  @SceneStorage("kept") private var kept = Data()
  @State private var phone: Phone?
  @State private var failure: String?
  @State private var choosing = false
  @State private var scanning = false
  @State private var handed: Handed?
  @State private var photographing = false
  @State private var picked: PhotosPickerItem?

  var body: some View {
    Group {
      if let phone {
        PhoneView(phone: phone)
          .onChange(of: phone.effects.count) { act(phone) }
          .onChange(of: phone.looks) { _, looks in
            UIApplication.shared.isIdleTimerDisabled = looks.awake
            Orientation.hold(looks.locked)
          }
      } else if let failure {
        Text(verbatim: failure)
      }
    }
    .task { await open() }
    .onChange(of: phase) { _, now in turned(now) }
    // https://developer.apple.com/documentation/swiftui/view/fileimporter(ispresented:allowedcontenttypes:oncompletion:)
    .fileImporter(isPresented: $choosing, allowedContentTypes: [.data]) { chosen in
      guard case .success(let url) = chosen else { return }
      let mayRead = url.startAccessingSecurityScopedResource()
      defer { if mayRead { url.stopAccessingSecurityScopedResource() } }
      guard let bytes = try? Data(contentsOf: url) else { return }
      phone?.hand { await $0.receive(bytes) }
    }
    // https://developer.apple.com/documentation/swiftui/view/photospicker(ispresented:selection:matching:preferreditemencoding:)
    // The compatible encoding of a photo is JPEG.
    .photosPicker(
      isPresented: $photographing, selection: $picked, matching: .images,
      preferredItemEncoding: .compatible
    )
    .onChange(of: picked) { _, item in
      guard let item else { return }
      picked = nil
      Task {
        guard let bytes = try? await item.loadTransferable(type: Data.self) else { return }
        phone?.hand { await $0.photographed(bytes) }
      }
    }
    .sheet(item: $handed) { file in
      SharingSheet(file: file.url) { phone?.hand { await $0.handedOver() } }
    }
    .sheet(isPresented: $scanning) {
      CameraView { text in
        scanning = false
        phone?.hand { await $0.scanned(text) }
      }
    }
  }

  private func open() async {
    guard phone == nil else { return }
    do {
      let workshop = try await Process.workshop()
      try setVoice(language: BundleTexts.ofThePhone)
      let phone = Phone(
        workshop: workshop, texts: { BundleTexts($0) }, now: { Moment(Date()) },
        http: URLSessionTransport(), nearby: NetworkNearby())
      phone.whileWorking = {
        let time = TimeToFinish()
        return { time.end() }
      }
      await phone.start()
      if let map = try? JSONDecoder().decode([String: String].self, from: kept) {
        await phone.restore(map)
      }
      self.phone = phone
    } catch {
      failure = error.localizedDescription
    }
  }

  /// Does what the phone asks of the system.
  private func act(_ phone: Phone) {
    switch phone.nextEffect() {
    case .share(let name, let bytes):
      let url = URL.temporaryDirectory.appending(path: name)
      if (try? bytes.write(to: url, options: .completeFileProtection)) != nil {
        handed = Handed(url: url)
      }
    case .chooseFile: choosing = true
    case .choosePhoto: photographing = true
    case .scan: scanning = true
    case nil: break
    }
  }

  /// Keeps what was typed, and lets the core finish what it writes.
  private func turned(_ now: ScenePhase) {
    guard let phone else { return }
    if now == .active { return phone.hand { await $0.changed() } }
    kept = (try? JSONEncoder().encode(phone.kept())) ?? Data()
    guard now == .background else { return }
    phone.hand { try? await $0.workshop.pause() }
    Exchanging.ask()
  }
}

/// What the process has one of, whether it was started by a finger or in the background.
@MainActor
enum Process {
  private static var opening: Task<Workshop, any Error>?

  /// The workshop of this device; asked for again, it is tried again if it did not open.
  static func workshop() async throws -> Workshop {
    let task = opening ?? Task { try await open() }
    opening = task
    do {
      return try await task.value
    } catch {
      opening = nil
      throw error
    }
  }

  private static func open() async throws -> Workshop {
    // https://developer.apple.com/documentation/foundation/fileprotectiontype/completeuntilfirstuserauthentication
    let folder = URL.applicationSupportDirectory.appending(path: "workshop")
    try FileManager.default.createDirectory(
      at: folder, withIntermediateDirectories: true,
      attributes: [.protectionKey: FileProtectionType.completeUntilFirstUserAuthentication])
    return try await Workshop.open(
      folder: folder, label: UIDevice.current.name, keeper: KeychainKeeper())
  }
}

/// Exchanges with the relays while nothing of the app is seen, when the system finds it a good time.
@MainActor
enum Exchanging {
  /// What the system knows it by; it stands in the project's description too.
  nonisolated static let name = "dev.fallaway.exchange"

  /// Asks the system for it.
  /// https://developer.apple.com/documentation/backgroundtasks/bgtaskscheduler/submit(_:)
  static func ask() {
    try? BGTaskScheduler.shared.submit(BGAppRefreshTaskRequest(identifier: name))
  }

  static func run() async {
    guard let workshop = try? await Process.workshop() else { return }
    _ = try? await workshop.sync(http: URLSessionTransport())
  }
}

/// Time to finish what was begun, asked for around whatever the core does.
/// https://developer.apple.com/documentation/uikit/uiapplication/beginbackgroundtask(withname:expirationhandler:)
@MainActor
final class TimeToFinish {
  private var task = UIBackgroundTaskIdentifier.invalid

  init() {
    task = UIApplication.shared.beginBackgroundTask(withName: "write") { [weak self] in self?.end()
    }
  }

  func end() {
    guard task != .invalid else { return }
    UIApplication.shared.endBackgroundTask(task)
    task = .invalid
  }
}

/// A file that is offered to other apps.
struct Handed: Identifiable {
  let url: URL
  var id: URL { url }
}

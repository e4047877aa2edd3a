// What the app uses of UIKit, declared for type-checking on Linux. Each declaration follows the page of Apple's
// documentation that is named above it, below https://developer.apple.com/documentation/uikit/ (written down from
// memory; compare when one is changed). On Apple systems this target does not exist.
import Foundation

// uiapplication, uiapplication/shared, isidletimerdisabled, connectedscenes
@MainActor open class UIApplication: NSObject {
  public class var shared: UIApplication { fatalError() }
  public var isIdleTimerDisabled = false
  public var connectedScenes: Set<UIScene> { [] }
  // uiapplication/beginbackgroundtask(withname:expirationhandler:)
  public func beginBackgroundTask(
    withName taskName: String?, expirationHandler handler: (@MainActor @Sendable () -> Void)? = nil
  ) -> UIBackgroundTaskIdentifier { .invalid }
  // uiapplication/endbackgroundtask(_:)
  public func endBackgroundTask(_ identifier: UIBackgroundTaskIdentifier) {}
}

// uibackgroundtaskidentifier/invalid
public struct UIBackgroundTaskIdentifier: Hashable, Sendable {
  public static let invalid = UIBackgroundTaskIdentifier()
}

// uiapplicationdelegate/application(_:supportedinterfaceorientationsfor:)
@MainActor public protocol UIApplicationDelegate: NSObjectProtocol {
  func application(
    _ application: UIApplication, supportedInterfaceOrientationsFor window: UIWindow?
  ) -> UIInterfaceOrientationMask
}

// uiscene, uiwindowscene/interfaceorientation, uiwindowscene/keywindow
@MainActor open class UIScene: NSObject {}
@MainActor open class UIWindowScene: UIScene {
  public var interfaceOrientation: UIInterfaceOrientation { .portrait }
  public var keyWindow: UIWindow? { nil }
}

// uiwindow, uiwindow/rootviewcontroller
@MainActor open class UIWindow: NSObject { public var rootViewController: UIViewController? }

// uiviewcontroller/setneedsupdateofsupportedinterfaceorientations()
@MainActor open class UIViewController: NSObject {
  public func setNeedsUpdateOfSupportedInterfaceOrientations() {}
}

// uiinterfaceorientation/islandscape, uiinterfaceorientationmask
public enum UIInterfaceOrientation: Sendable {
  case portrait
  public var isLandscape: Bool { false }
}
public struct UIInterfaceOrientationMask: OptionSet, Sendable {
  public let rawValue: UInt
  public init(rawValue: UInt) { self.rawValue = rawValue }
  public static let portrait = UIInterfaceOrientationMask(rawValue: 2)
  public static let landscape = UIInterfaceOrientationMask(rawValue: 24)
  public static let all = UIInterfaceOrientationMask(rawValue: 30)
}

// uidevice/current, uidevice/name
@MainActor open class UIDevice: NSObject {
  public class var current: UIDevice { fatalError() }
  public var name: String { "" }
}

// uiactivity, uiactivity/activitytype
@MainActor open class UIActivity: NSObject { public struct ActivityType: Sendable {} }

// uiactivityviewcontroller/init(activityitems:applicationactivities:), completionwithitemshandler
@MainActor open class UIActivityViewController: UIViewController {
  public typealias CompletionWithItemsHandler = (
    UIActivity.ActivityType?, Bool, [Any]?, (any Error)?
  ) -> Void
  public init(activityItems: [Any], applicationActivities: [UIActivity]?) {}
  public var completionWithItemsHandler: CompletionWithItemsHandler?
}
